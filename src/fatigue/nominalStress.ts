import { checkChannel, isChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkSection, type ShaftSection } from '../gauge/section.js';
import { cyclesFromTable, makeStressCycles, type StressCycles } from './StressCycles.js';

/** Loads on a section: N·m, N·m and N. */
export interface SectionLoads {
  readonly torque?: number;
  readonly bending?: number;
  readonly axial?: number;
}

/** Nominal stress at the outer surface, Pa. */
export interface NominalStress {
  readonly shear: number;
  readonly bending: number;
  readonly axial: number;
}

/**
 * Gives the nominal stress at the outer surface of a round section: τ = T/W, σb = M/(W/2), σ = F/A, W = π (D⁴ − d⁴)/(16 D).
 *
 * Cost: none.
 *
 * @param section the shaft
 * @param loads torque and bending moment in N·m, axial force in N; what is left out is 0
 * @returns shear, bending and axial stress, Pa
 * @throws InputError for a section that is none, or a load that is not finite
 * @see shearStress, combineCycles, criticalPlane
 * @example nominalStress(solidSection(mm(50)), { torque: 1000, bending: 1000 }).bending / 1e6 // => 81.4873
 * @references School knowledge: torsion and bending of a round bar.
 */
export function nominalStress(section: ShaftSection, loads: SectionLoads): NominalStress {
  const where = 'nominalStress';
  const { polarModulus, area } = checkSection(where, section);
  const given = checkOptions(where, loads, { optional: ['torque', 'bending', 'axial'] });
  const of = (key: keyof SectionLoads, unit: string): number => checkNumber(where, key, given[key] ?? 0, { unit });
  return checkResult(where, 'section and loads', Object.freeze({ shear: of('torque', 'N·m') / polarModulus, bending: of('bending', 'N·m') / (polarModulus / 2), axial: of('axial', 'N') / area }));
}

/** Options of rotatingBendingCycles. */
export interface RotatingBendingOptions {
  /** Amplitude of the nominal bending stress, Pa: fully reversed once in a revolution. */
  readonly amplitude: number;
  /** Steady direct stress, Pa; 0 by default. */
  readonly steady?: number;
  /** A channel of speed, or a constant speed in rad/s with the hours it is held. */
  readonly speed: Channel<'rad/s'> | { readonly constant: number; readonly hours: number };
}

/**
 * Counts the cycles of bending that turns with the shaft: one for each revolution, n = ∫|ω| dt / 2π over what is valid.
 *
 * Kept: nothing of the speed but its integral. Cost: one pass.
 *
 * @param options amplitude, steady stress, speed
 * @returns cycles of nominal direct stress, to be taken to the notch by localStress and added as a damage of their own
 * @throws InputError for an amplitude that is not above 0, no revolution, or a speed in another unit
 * @see combineCycles, nominalStress
 * @example rotatingBendingCycles({ amplitude: MPa(40), speed: { constant: rpm(1500), hours: 2 } }).cycles.total // => 180000
 * @references School knowledge.
 */
export function rotatingBendingCycles(options: RotatingBendingOptions): StressCycles<'nominal', 'direct'> & { readonly cycles: ReturnType<typeof cyclesFromTable<'Pa'>> } {
  const where = 'rotatingBendingCycles';
  checkOptions(where, options, { required: ['amplitude', 'speed'], optional: ['steady'] });
  const amplitude = checkNumber(where, 'amplitude', options.amplitude, { above: 0, unit: 'Pa' });
  const steady = checkNumber(where, 'steady', options.steady ?? 0, { unit: 'Pa' });
  const { revolutions, hours } = isChannel(options.speed) ? ofChannel(where, options.speed) : ofConstant(where, options.speed);
  if (!(revolutions > 0)) throw new InputError({ where, argument: 'speed', expected: 'one with at least a part of a revolution', given: 'a shaft at rest' });
  const cycles = cyclesFromTable({ unit: 'Pa', range: [2 * amplitude], mean: [steady], count: [revolutions], hours });
  return makeStressCycles('nominal', 'direct', cycles, [{ step: 'stated', factor: 1, source: `rotating bending of ${(amplitude / 1e6).toPrecision(4)} MPa, once in a revolution` }]) as StressCycles<'nominal', 'direct'> & { readonly cycles: typeof cycles };
}

function ofChannel(where: string, speed: Channel): { readonly revolutions: number; readonly hours: number } {
  checkChannel(where, speed, ['rad/s'], 'Convert it with convert(channel, \'rad/s\').');
  let sum = 0, samples = 0;
  for (const run of validRuns(speed)) {
    for (let i = run.from; i < run.to; i++) sum += Math.abs(speed.values[i]!);
    samples += run.to - run.from;
  }
  return { revolutions: sum / speed.sampleRate / (2 * Math.PI), hours: samples / speed.sampleRate / 3600 };
}

function ofConstant(where: string, speed: { readonly constant: number; readonly hours: number }): { readonly revolutions: number; readonly hours: number } {
  checkOptions(`${where} (speed)`, speed, { required: ['constant', 'hours'] });
  const hours = checkNumber(where, 'speed.hours', speed.hours, { above: 0, unit: 'h' });
  return { revolutions: (Math.abs(checkNumber(where, 'speed.constant', speed.constant, { unit: 'rad/s' })) * hours * 3600) / (2 * Math.PI), hours };
}
