import { zeroTerms } from '../clean/ZeroModel.js';
import type { StateName } from '../spectrum/segmentStates.js';
import { quantityExamples } from './quantity.js';

/** The states that a duty may count by the hour or by the piece. */
export const stateNames: readonly StateName[] = Object.freeze(['stop', 'start', 'steady', 'load change', 'trip', 'coast-down', 'reverse']);

const quantity = (of: string, description: string): object => ({ type: 'string', quantity: of, description, examples: [quantityExamples[of]] });
const text = (description: string): object => ({ type: 'string', minLength: 1, description, hint: 'a text that is not empty' });
const positive = (description: string): object => ({ type: 'number', exclusiveMinimum: 0, description, hint: 'a number above 0' });
const object = (description: string, required: readonly string[], properties: object): object => ({ type: 'object', description, additionalProperties: false, required, properties });

const diameters = {
  outerDiameter: quantity('length', 'Outer diameter'),
  innerDiameter: quantity('length', 'Bore; left out for a solid shaft'),
};

const spread = (description: string): object => object(description, ['shape', 'deviation'], {
  shape: { enum: ['normal', 'lognormal', 'uniform'], description: 'Shape of the spread about 1' },
  deviation: { type: 'number', minimum: 0, maximum: 1, description: 'Relative standard deviation, 0.02 for 2 %', hint: 'a number from 0 to 1' },
});

const whole = (description: string): object => ({ type: 'integer', minimum: 1, description, hint: 'a whole number of at least 1' });

const hours = (description: string): object => ({ type: 'number', minimum: 0, maximum: 8784, description, hint: 'a number from 0 to 8784' });

const budgetInputs: readonly (readonly [string, string])[] = [
  ['gaugeFactor', 'Gauge factor'], ['shearModulus', 'G'], ['youngsModulus', 'E'], ['poissonsRatio', 'ν'], ['gain', 'Amplifier gain'], ['excitation', 'Bridge supply'], ['countsPerVolt', 'Converter'],
  ['outerDiameter', 'Outer diameter under the gauge'], ['innerDiameter', 'Bore under the gauge'], ['misalignment', 'Angle of the gauges about ±45°, rad'],
];

const atLeastZero = (description: string): object => ({ type: 'number', minimum: 0, description, hint: 'a number of at least 0' });
const uncertain = (description: string): object => object(`${description}: one of standard, halfWidth and expanded; in SI, or as a part of the value with relative`, [], {
  standard: atLeastZero('Standard uncertainty'), halfWidth: atLeastZero('Half the distance between the bounds'), expanded: atLeastZero('Expanded uncertainty'), coverageFactor: positive('Of the expanded one'),
  distribution: { enum: ['normal', 't', 'rectangular', 'triangular', 'arcsine'], description: 'Its distribution' }, degreesOfFreedom: positive('How well the standard uncertainty is known'),
  relative: { type: 'boolean', description: 'The figures are parts of the value' },
});

const band = (description: string): object => object(description, ['from', 'to'], { from: quantity('frequency', 'Lower end'), to: quantity('frequency', 'Upper end') });
const window = object('A stretch of the record, from its first sample on', ['from', 'to'], { from: quantity('time', 'Begin'), to: quantity('time', 'End') });

const notch = (description: string): object => object(description, ['factor', 'source'], {
  factor: { type: 'number', minimum: 1, description: 'Notch factor in torsion, 1 for none and for a curve that holds its notch', hint: 'a number of at least 1' },
  source: text('Where the factor comes from'),
  basis: { enum: ['fatigue', 'theoretical', 'on top of the curve'], description: 'What the factor stands for ("fatigue" by default): Kf, Kt with full notch sensitivity, or a raiser that the detail of a curve that holds its notch does not describe' },
});

const curve = (description: string, besides: object = {}): object => object(description, ['use'], {
  use: { enum: ['EN 1993-1-9 shear', 'IIW shear', 'synthetic shear', 'own'], description: 'Which curve' },
  category: quantity('stress', 'EN 1993-1-9 and IIW: detail category or class, the stress range at 2·10⁶ cycles'),
  materialFactor: positive('EN 1993-1-9: partial factor γMf (1 by default)'),
  enduranceLimit: quantity('stress', 'Synthetic: endurance limit in shear, fully reversed amplitude, after every Marin factor'),
  name: text('Own curve: its name'),
  measure: { enum: ['range', 'amplitude'], description: 'Own curve: is its stress a range or an amplitude?' },
  stress: quantity('stress', 'Own curve: stress of a point of the first branch'),
  cycles: positive('Own curve: cycles of that point'),
  slope: positive('Own curve: slope m of the first branch, N·Sᵐ = constant'),
  bend: object('Own curve: a second branch', ['cycles', 'slope'], { cycles: positive('Cycles where it begins'), slope: positive('Its slope') }),
  knee: positive('Own curve: cycles at which the continuation begins; left out for none'),
  beyond: { enum: ['cut-off', 'same-slope', 'reduced-slope'], description: 'Below the knee' },
  ratio: { type: 'number', exclusiveMaximum: 1, description: 'Own curve: R = minimum/maximum of its tests', hint: 'a number below 1' },
  survival: { type: 'number', exclusiveMinimum: 0, exclusiveMaximum: 1, description: 'Own curve: probability of survival; synthetic: that at which its limit was taken (0.5 by default)', hint: 'a number between 0 and 1' },
  deviation: { type: 'number', minimum: 0, description: 'Own curve: standard deviation of log10 N', hint: 'a number of at least 0' },
  tested: object('Own curve: lives between which tests stand behind it', ['from', 'to'], { from: positive('Cycles'), to: positive('Cycles') }),
  notch: { enum: ['in the curve', 'in the stress'], description: 'Own curve: does it hold the notch, or must the stress carry it?' },
  source: text('Own curve: where it comes from'),
  ...besides,
});

/**
 * The JSON Schema (draft 2020-12) of a job file. The keyword `quantity` marks a text that must be a number with a unit
 * of that quantity; other validators pass over it. `quillshaft schema` prints it for editors.
 */
export const jobSchema: Readonly<Record<string, unknown>> = Object.freeze({
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Quillshaft job',
  ...object('One assessment of one recording of shaft torque', ['title', 'recording', 'shaft', 'zero', 'filter', 'notch', 'curve', 'meanStress'], {
    $schema: { type: 'string', description: 'Where this schema lies, for editors' },
    title: text('What the report is called'),
    recording: object('The file (or the files) and what its channels are', ['torque'], {
      file: text('The recording, relative to this job file'),
      files: { type: 'array', minItems: 2, uniqueItems: true, description: 'Instead of file: the files of one shaft in time order. They are joined before anything is computed, so that cycles over their ends are counted', hint: 'a list of at least two files, each once', items: text('A file') },
      torque: text('Name of the channel with the bridge signal, or with torque'),
      torqueUnit: text('Its unit, where the file does not state it or states it wrongly'),
      speed: text('Name of the channel with the shaft speed'),
      speedUnit: text('Its unit, where the file does not state it'),
      pulses: object('Instead of speed: the time stamps of the pulses of a target on the shaft, in a second file', ['file', 'column', 'perRevolution', 'target', 'silence'], {
        file: text('The file of stamps, relative to this job file'),
        column: text('Name of the column with the stamps, rising'),
        unit: text('Their unit, where the file does not state it'),
        perRevolution: whole('Pulses in a revolution'),
        target: { description: 'Is the target even, or in which stretch shall be learnt how uneven it is? Best one in which nothing resonates', hint: '"even", or a window with from and to', anyOf: [{ const: 'even' }, window] },
        silence: { enum: ['at rest', 'not known'], description: 'Where no pulses come, does the shaft stand, or is its speed not known?' },
        offset: quantity('time', 'Added to each stamp, so that 0 is the first sample of the recording (0 s by default)'),
      }),
      temperature: text('Name of the channel with the temperature of the shaft at the gauge; a zero with the term "temperature" reads it'),
      temperatureUnit: text('Its unit, where the file does not state it'),
      frames: object('Frame counter of a recorder that loses frames: rows go to their true time and lost frames are masked', ['counter', 'modulus'], {
        counter: text('Name of its channel'),
        modulus: { type: 'integer', minimum: 2, description: 'How many different frame numbers there are: 65536 for a counter of 16 bits', hint: 'a whole number of at least 2' },
      }),
      sampleRate: quantity('frequency', 'Sample rate, for a file without time stamps'),
      read: { type: 'object', description: 'What else readRecording must be told of the file (delimiter, decimal, timeUnit, onDoubledStamp, resampleTo, …)' },
    }),
    shaft: object('The shaft under the gauge, and its material', ['outerDiameter', 'yieldStrength'], {
      ...diameters,
      shearModulus: quantity('stress', 'G; or give youngsModulus and poissonsRatio'),
      youngsModulus: quantity('stress', 'E'),
      poissonsRatio: { type: 'number', exclusiveMinimum: 0, exclusiveMaximum: 0.5, description: 'ν', hint: 'a number between 0 and 0.5' },
      yieldStrength: quantity('stress', 'Yield strength in tension, Sy'),
      tensileStrength: quantity('stress', 'Ultimate tensile strength, Sut; needed by some mean-stress rules'),
    }),
    gauge: object('The bridge and its amplifier; what the unit of the signal does not need may be left out', ['gaugeFactor', 'activeArms'], {
      gaugeFactor: positive('Gauge factor'),
      activeArms: { enum: [1, 2, 4], description: 'Arms that see torsion' },
      gain: positive('Amplifier gain, V/V'),
      excitation: quantity('voltage', 'Bridge supply'),
      countsPerVolt: positive('Converter counts per volt'),
      polarity: { enum: [1, -1], description: '−1 where the bridge reads negative for positive torque' },
    }),
    calibration: object('Instead of gauge: a line found by applying known torques', ['slope', 'unit'], {
      slope: { type: 'number', description: 'N·m per unit of the signal', hint: 'a number' },
      unit: text('Unit of the signal that was calibrated'),
      intercept: { type: 'number', description: 'N·m at a signal of 0', hint: 'a number' },
    }),
    faults: object('What is masked before anything is computed; left out: dropouts, held values and rails are looked for', [], {
      find: { type: 'boolean', description: 'Look for dropouts, held values, rails and other faults (true by default)' },
      highestMode: quantity('frequency', 'Highest torsional mode that the signal can show; with it spikes are looked for too'),
      alike: quantity('time', 'Load is alike so far before and after each gap; with it the damage of what was lost is estimated'),
      mask: {
        type: 'array', description: 'Stretches to mask by hand',
        items: object('A stretch and the reason', ['from', 'to', 'because'], { from: quantity('time', 'Begin'), to: quantity('time', 'End'), because: text('Why it is masked') }),
      },
    }),
    zero: object('Where the shaft was at rest and free of torque, and what the zero does between', [], {
      rest: {
        description: 'Rest windows, or "from speed" to find them in the speed channel', hint: 'a list of windows with from and to, or "from speed"',
        anyOf: [{ type: 'array', minItems: 1, items: window }, { const: 'from speed' }],
      },
      below: quantity('angular speed', 'With "from speed": the shaft counts as at rest below this speed'),
      settle: quantity('time', 'With "from speed": how long after stopping it still rings'),
      model: {
        description: 'What the zero does between the windows: "constant", "linear in time", or a list of the terms that it has besides the constant', hint: '"constant", "linear in time", or a list of some of "time", "temperature", "speed squared" and "friction"',
        anyOf: [{ enum: ['constant', 'linear in time'] }, { type: 'array', minItems: 1, uniqueItems: true, items: { enum: [...zeroTerms] } }],
      },
      none: text('Instead: why no zero is taken'),
    }),
    filter: object('The low-pass before counting', [], {
      cutoff: quantity('frequency', 'Cutoff'),
      order: { type: 'integer', minimum: 1, maximum: 12, description: 'Order of each pass (4 by default)', hint: 'a whole number from 1 to 12' },
      cutoffAt: { enum: ['each pass', '-3dB'], description: 'Is the cutoff −3 dB of each of the two passes (both together −6 dB), or of both together?' },
      none: text('Instead: why nothing is filtered'),
    }),
    count: object('How cycles are counted', [], {
      residue: { enum: ['half', 'repeat', 'drop'], description: 'What becomes of cycles that did not close ("half" by default)' },
      gate: quantity('torque', 'Ranges below this are noise and not counted (0 by default)'),
    }),
    assessed: object('The section where the life is asked, if it is another than the one under the gauge, be it of the same diameter', ['outerDiameter'], diameters),
    notch: notch('How much the local stress exceeds the nominal one'),
    curve: curve('The S-N curve in shear: one of the library, or your own'),
    otherCurves: {
      type: 'array', minItems: 1, description: 'Other curves that an analyst might have taken: each is priced beside the one assessed, with the notch factor of the job where it holds none, or with its own', hint: 'a list of at least one curve',
      items: curve('Another S-N curve', { notchFactor: notch('How much the local stress exceeds the nominal one under this curve; needed where it holds no notch and the one assessed does') }),
    },
    meanStress: object('The rule for mean stress; in torsion its magnitude counts', ['rule'], {
      rule: { enum: ['none', 'goodman', 'gerber', 'soderberg', 'asme-elliptic', 'morrow', 'smith-watson-topper', 'walker'], description: 'Name of the rule; Goodman and Gerber need shaft.tensileStrength, Morrow fatigueStrength' },
      equivalence: { enum: ['von Mises', 'maximum shear'], description: 'How the strength of the rule, known in tension, becomes one in shear ("von Mises" by default)' },
      exponent: { type: 'number', minimum: 0, maximum: 1, description: "Walker's γ; left out it is estimated for a steel of shaft.tensileStrength", hint: 'a number from 0 to 1' },
      fatigueStrength: quantity('stress', "True fracture strength or fatigue strength coefficient σf′ in tension, for Morrow's rule"),
    }),
    budget: object('Uncertainty of the gauge chain, by input; it gives the budget of torque and of shear stress, and the spread of the gauge in the life: that of the stress, or that of the torque where another section is assessed', [], Object.fromEntries(budgetInputs.map(([name, description]) => [name, uncertain(description)]))),
    states: object('Limits by which stop, start, steady, load change, trip and coast-down are told', ['standstill', 'speedChange', 'torqueChange', 'block'], {
      standstill: quantity('angular speed', 'The shaft stands below it and turns above twice that'),
      speedChange: positive('rad/s²: speed is steady below it and changes above twice that'),
      torqueChange: quantity('torque', 'A mean torque that moves by more from block to block is a change of load, or a trip'),
      block: quantity('time', 'Length of the blocks over which means are taken'),
      ringDown: band('Band in which the ring-down after a trip is looked for'),
    }),
    drive: object('What turns and what excites: orders and their names', ['shafts'], {
      shafts: {
        type: 'object', description: 'Parts by the name of their shaft; ratio is the speed over that of the measured shaft', minProperties: 1, hint: 'an object with at least one shaft',
        additionalProperties: object('One shaft', [], {
          ratio: positive('Speed over that of the measured shaft (1 by default)'), teeth: whole('Teeth of a gear on it'), blades: whole('Blades or vanes on it'),
          universalJoint: { type: 'boolean', description: 'A universal joint on it' },
          engine: object('A piston engine on it', ['cylinders', 'stroke'], { cylinders: whole('Cylinders'), stroke: { enum: [2, 4], description: 'Two-stroke or four-stroke' } }),
        }),
      },
      lineFrequency: quantity('frequency', 'Frequency of the electrical supply'),
    }),
    sweeps: {
      type: 'array', minItems: 1, description: 'Runs through a resonance, whose frequency and damping are fitted', hint: 'a list of at least one run',
      items: object('One run through a resonance', ['from', 'to', 'order', 'excitation', 'band'], {
        from: quantity('time', 'Begin'), to: quantity('time', 'End'), order: positive('The exciting order, cycles a revolution'),
        excitation: { enum: ['constant', 'speed squared'], description: 'Does the exciting torque keep its amplitude, or go with the square of speed?' },
        band: band('Band around the order, Hz, so that other orders do not weigh'),
      }),
    },
    train: object('The lumped train, for computed natural frequencies', ['inertias', 'shafts'], {
      inertias: { type: 'array', minItems: 1, description: 'Rotating parts', items: object('A part', ['name', 'inertia'], { name: text('Its name'), inertia: positive('kg·m² about its own axis') }) },
      shafts: { type: 'array', minItems: 1, description: 'Shafts and couplings', items: object('A shaft', ['name', 'from', 'to', 'stiffness'], { name: text('Its name'), from: text('A part, or ground'), to: text('A part, or ground'), stiffness: positive('N·m/rad'), damping: atLeastZero('N·m·s/rad') }) },
      gears: { type: 'array', description: 'Rigid gear meshes', items: object('A mesh', ['from', 'to', 'ratio'], { from: text('A part'), to: text('The part it drives'), ratio: positive('Speed of to over speed of from') }) },
    }),
    power: object('How power is taken from torque and speed', [], {
      latency: quantity('time', 'By how much the torque comes later than the speed (0 s by default)'),
    }),
    uncertainty: object('How well each input is known; with it the life comes with a band. What is left out is taken as exact', [], {
      gauge: spread('Everything that scales the measured torque: gauge factor, shunt, modulus, bonding angle; left out, what budget says'),
      section: spread('Outer diameter of the assessed section; left out where that is the one under the gauge, whose stress comes from the strain'),
      notch: spread('Notch factor'),
      strength: spread('Strength of the material: the whole curve moves in stress'),
      curve: object('Scatter of log10 N about the curve; left empty, as the curve states it', [], {
        deviation: { type: 'number', minimum: 0, description: 'Standard deviation of log10 N', hint: 'a number of at least 0' },
        survival: { type: 'number', exclusiveMinimum: 0, exclusiveMaximum: 1, description: 'Survival that the curve stands for', hint: 'a number between 0 and 1' },
      }),
      criticalSum: object("Miner's sum at failure, lognormal", ['median', 'deviation'], { median: positive('Its median, which is the critical sum of the life too'), deviation: positive('Its coefficient of variation') }),
      duty: {
        description: 'How well the record stands for the hours to come: "settled" for what the record itself shows of its damage rate, or a stated spread', hint: '"settled", or an object with spread',
        anyOf: [{ const: 'settled' }, object('A stated spread', ['spread'], { spread: spread('On the damage in an hour') })],
      },
      draws: { type: 'integer', minimum: 100, maximum: 1000000, description: 'Draws of the Monte Carlo (10 000 by default)', hint: 'a whole number from 100 to 1 000 000' },
      seed: { type: 'integer', description: 'Seed of the draws (1 by default)', hint: 'a whole number' },
    }),
    duty: object('A year of it: hours by state, and starts by the piece; it needs states', ['hoursPerYear'], {
      hoursPerYear: { ...object('Hours in a year of each state that goes on by the hour; every other state belongs to the starts', [], Object.fromEntries(stateNames.map((name) => [name, hours(`Hours of "${name}" in a year`)]))), minProperties: 1, hint: 'an object with the hours of at least one state' },
      startsPerYear: atLeastZero('Starts in a year, each with everything of the record that belongs to no state with hours'),
      certainty: { type: 'number', minimum: 0.1, maximum: 1e6, description: 'How sure the shares of the hours are on which two states or more go on: as if so many independent hours had been looked at; left out: exact. The starts are counted, not shared', hint: 'a number from 0.1 to 1000000' },
    }),
    life: object('What life means', [], {
      criticalSum: positive("Miner's critical sum (by default the median of uncertainty.criticalSum, else 1)"),
      hoursPerYear: { type: 'number', exclusiveMinimum: 0, maximum: 8784, description: 'Running hours a year like the recorded ones', hint: 'a number above 0 and at most 8784' },
    }),
  }),
});
