import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { quantityOf, unitConversion } from '../record/units.js';
import { bridgeUnits, checkGauge, ratioPerUnit, shearModulusOf, strainOfRatio, strainUnits, type BridgeUnit, type Gauge, type StrainUnit } from './Gauge.js';
import { checkSection, type ShaftSection } from './section.js';
import { makeBudget, type InputCorrelation, type UncertaintyBudget } from './uncertaintyBudget.js';
import type { TorqueCalibration } from './toTorque.js';
import type { UncertainInput, Uncertainty } from './Uncertain.js';

/** The inputs of torque, besides signal and zero, that may carry an uncertainty. */
export type TorqueInput = 'countsPerVolt' | 'gain' | 'excitation' | 'gaugeFactor' | 'shearModulus' | 'youngsModulus' | 'poissonsRatio' | 'outerDiameter' | 'innerDiameter' | 'misalignment'
  | 'slope' | 'linearity' | 'hysteresis';

/** What a torque budget is made of. */
export interface TorqueBudgetOptions {
  /** Shear stress at the gauge section needs no diameter. */
  readonly quantity: 'torque' | 'shear stress';
  readonly gauge?: Gauge;
  /** Needed for torque with a gauge. */
  readonly section?: ShaftSection;
  /** In place of gauge and section, for torque: the line of fitCalibration. Its inputs are slope, and linearity and hysteresis in N·m with the estimate 0. */
  readonly calibration?: TorqueCalibration;
  /** The reading at which the budget is made, in `unit`, and its own uncertainty. */
  readonly signal: UncertainInput;
  readonly unit: BridgeUnit | StrainUnit;
  /** The zero taken off the signal, in `unit`; its standard error comes from fitZero. Default 0, exact. */
  readonly zero?: UncertainInput;
  /** By input; misalignment is an angle in rad about ±45°, with the gauge's own (or 0) as the estimate. What is left out counts as exact, and a note says so. */
  readonly uncertainty: Readonly<Partial<Record<TorqueInput, Uncertainty>>>;
  readonly correlations?: readonly InputCorrelation[];
  readonly coverage?: number;
  readonly draws?: number;
  readonly seed?: number;
}

const where = 'torqueBudget';

/**
 * Finds the uncertainty of torque, or of shear stress at the gauge, from the uncertainties of the chain: first order and Monte Carlo side by side.
 *
 * T = 2 G W ε / cos 2β and τ = 2 G ε / cos 2β, with ε = 4 r / (N K), r = (signal − zero) as output per supply, G = E / (2 (1 + ν)) or as given,
 * W = π (D⁴ − d⁴) / (16 D), β the misalignment of the gauges. A signal that is strain already went through bridgeStrain, with the gauge's own β₀: ε = (signal − zero) cos 2β₀ there. The stress does not depend on the diameter: its budget holds no diameter. The torque of
 * a hollow shaft depends on it by more than the third power: by (3 D⁴ + d⁴) / (D⁴ − d⁴). With a calibration T = slope · (signal − zero) + intercept + linearity + hysteresis: what the
 * applied torques went through (gauge factor, bond, section, modulus, misalignment) is inside the slope and not counted again.
 *
 * @param options quantity, gauge and section or calibration, signal with unit, zero, uncertainty by input, correlations, coverage, draws, seed
 * @returns the budget; the quantity in N·m or Pa
 * @throws InputError for an input that this gauge or quantity does not have, or one without a figure
 * @see uncertaintyBudget, fitZero
 * @example
 * const budget = torqueBudget({
 *   quantity: 'torque', gauge: { gaugeFactor: 2.1, activeArms: 4, youngsModulus: GPa(206), poissonsRatio: 0.29 }, section: hollowSection(mm(90), mm(70)),
 *   signal: { value: 0.8, expanded: 0.0004, coverageFactor: 2 }, unit: 'mV/V', uncertainty: { outerDiameter: { halfWidth: mm(0.05) } }, draws: 0,
 * });
 * budget.value // => 5521.141956
 * budget.lines.find((l) => l.input === 'outerDiameter').relativeSensitivity // => 5.3086538
 * @references JCGM 100:2008 (GUM), 5.1; JCGM 101:2008. Torsion: F. P. Beer and E. R. Johnston, Mechanics of Materials, chapter 3 (from memory).
 */
export function torqueBudget(options: TorqueBudgetOptions): UncertaintyBudget {
  checkOptions(where, options, { required: ['quantity', 'signal', 'unit', 'uncertainty'], optional: ['gauge', 'section', 'calibration', 'zero', 'correlations', 'coverage', 'draws', 'seed'] });
  const quantity = checkChoice(where, 'quantity', options.quantity, ['torque', 'shear stress'] as const);
  const unit = checkChoice(where, 'unit', options.unit, [...bridgeUnits, ...strainUnits]);
  const { known, model } = options.calibration ? calibrated(options, quantity, unit) : byGauge(options, quantity, unit);
  if (typeof options.uncertainty !== 'object' || options.uncertainty === null) throw new InputError({ where, argument: 'uncertainty', expected: 'an object of uncertainties by input', given: show(options.uncertainty) });
  const notes: string[] = [];
  const inputs: Record<string, UncertainInput> = { signal: options.signal };
  if (options.zero !== undefined) inputs['zero'] = options.zero;
  for (const [name, uncertainty] of Object.entries(options.uncertainty) as [TorqueInput, Uncertainty][]) {
    if (known[name] !== undefined) inputs[name] = { ...uncertainty, value: known[name] };
    else if (quantity === 'shear stress' && (name === 'outerDiameter' || name === 'innerDiameter')) notes.push(`${name} does not enter the shear stress at the gauge section.`);
    else throw new InputError({ where, argument: 'uncertainty', expected: `of ${Object.keys(known).join(', ')}, which are the inputs here`, given: `one of ${name}` });
  }
  const exact = Object.keys(known).filter((name) => !(name in inputs));
  if (options.zero === undefined) exact.push('zero');
  if (exact.length > 0) notes.push(`Taken as exact: ${exact.join(', ')}.`);
  const { correlations, coverage, draws, seed } = options;
  return makeBudget(where, { inputs, model, name: quantity, unit: quantity === 'torque' ? 'N·m' : 'Pa', correlations, coverage, draws, seed }, notes);
}

interface Chain {
  readonly known: Estimates;
  readonly model: (x: Readonly<Record<string, number>>) => number;
}

function byGauge(options: TorqueBudgetOptions, quantity: 'torque' | 'shear stress', unit: BridgeUnit | StrainUnit): Chain {
  if (options.gauge === undefined) throw new InputError({ where, argument: 'gauge', expected: 'given, or calibration in its place', given: 'nothing' });
  const gauge = checkGauge(where, options.gauge);
  if (quantity === 'torque' && options.section === undefined) throw new InputError({ where, argument: 'section', expected: 'given for torque', given: 'nothing' });
  const section = options.section === undefined ? null : checkSection(where, options.section);
  const known = estimatesOf(gauge, quantity === 'torque' ? section : null, unit);
  return { known, model: modelOf(gauge, quantity, unit, known) };
}

function calibrated(options: TorqueBudgetOptions, quantity: 'torque' | 'shear stress', unit: BridgeUnit | StrainUnit): Chain {
  if (options.gauge !== undefined || options.section !== undefined) throw new InputError({ where, argument: 'calibration', expected: 'given without gauge and section', given: 'both' });
  if (quantity !== 'torque') throw new InputError({ where, argument: 'quantity', expected: "'torque' with a calibration", given: `'${quantity}'`, remedy: 'Stress needs the gauge, or the section whose diameter then counts: use uncertaintyBudget.' });
  const calibration = options.calibration!;
  checkOptions(`${where}, calibration`, calibration, { required: ['slope', 'unit'], optional: ['intercept'] });
  if (calibration.unit !== unit) throw new InputError({ where, argument: 'unit', expected: `${typeof calibration.unit === 'string' ? calibration.unit : show(calibration.unit)}, in which the calibration was made`, given: unit });
  const slope = checkNumber(where, 'calibration.slope', calibration.slope);
  const intercept = checkNumber(where, 'calibration.intercept', calibration.intercept ?? 0);
  return {
    known: { slope, linearity: 0, hysteresis: 0 },
    model: (x) => (x['slope'] ?? slope) * (x['signal']! - (x['zero'] ?? 0)) + intercept + (x['linearity'] ?? 0) + (x['hysteresis'] ?? 0),
  };
}

type Estimates = Partial<Record<TorqueInput, number>>;

/** Every input that this chain has, with its estimate. */
function estimatesOf(gauge: Gauge, section: ShaftSection | null, unit: BridgeUnit | StrainUnit): Estimates {
  shearModulusOf(gauge, where);
  const isStrain = quantityOf(unit) === 'strain';
  if (!isStrain) ratioPerUnit(where, gauge, unit);
  const known: Estimates = {};
  if (unit === 'count') known.countsPerVolt = gauge.countsPerVolt!;
  if (!isStrain && quantityOf(unit) !== 'bridge ratio') Object.assign(known, { gain: gauge.gain, excitation: gauge.excitation });
  if (!isStrain) known.gaugeFactor = gauge.gaugeFactor;
  if (gauge.shearModulus !== undefined) known.shearModulus = gauge.shearModulus;
  else Object.assign(known, { youngsModulus: gauge.youngsModulus, poissonsRatio: gauge.poissonsRatio });
  if (section) known.outerDiameter = section.outerDiameter;
  if (section && section.innerDiameter > 0) known.innerDiameter = section.innerDiameter;
  known.misalignment = gauge.misalignment ?? 0;
  return known;
}

/** The quantity from signal, zero and those inputs that vary; the rest stays at its estimate. */
function modelOf(gauge: Gauge, quantity: 'torque' | 'shear stress', unit: BridgeUnit | StrainUnit, known: Estimates): (x: Readonly<Record<string, number>>) => number {
  const sign = gauge.polarity ?? 1;
  const isStrain = quantityOf(unit) === 'strain';
  const scale = unit === 'count' ? 1 : unitConversion(unit, isStrain ? 'strain' : quantityOf(unit) === 'voltage' ? 'V' : 'V/V', where).factor;
  // The misalignment stands as an input of its own, so the bridge is taken without it here; a strain has gone through bridgeStrain, which took the gauge's own off.
  const aligned = isStrain ? Math.cos(2 * known.misalignment!) : 1;
  return (x) => {
    const of = (name: TorqueInput): number => x[name] ?? known[name]!;
    const reading = (x['signal']! - (x['zero'] ?? 0)) * scale;
    const chain = (known.countsPerVolt === undefined ? 1 : of('countsPerVolt')) * (known.gain === undefined ? 1 : of('gain') * of('excitation'));
    const strain = isStrain ? reading : sign * strainOfRatio(reading / chain, { ...gauge, misalignment: 0, gaugeFactor: of('gaugeFactor') });
    const modulus = known.shearModulus === undefined ? of('youngsModulus') / (2 * (1 + of('poissonsRatio'))) : of('shearModulus');
    const stress = (2 * modulus * strain * aligned) / Math.cos(2 * of('misalignment'));
    if (quantity === 'shear stress') return stress;
    const outer = of('outerDiameter');
    const inner = known.innerDiameter === undefined ? 0 : of('innerDiameter');
    return (stress * Math.PI * (outer ** 4 - inner ** 4)) / (16 * outer);
  };
}
