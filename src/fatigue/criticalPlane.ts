import { rangeMaximum } from '../numeric/rangeMaximum.js';
import { checkChannel, makeChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { closeResidue } from '../count/closeResidue.js';
import { countCycles } from '../count/countCycles.js';
import { makeCycles, type Cycles, type ResiduePolicy } from '../count/CycleCount.js';
import { twoFigures } from './figures.js';
import { checkCurve, damageFunction, type Continuation, type LifeCurve } from './LifeCurve.js';
import { checkNotch, type NotchFactor } from './notchFactor.js';
import { makeStressCycles, type StressCycles } from './StressCycles.js';
import type { Measure } from './stress.js';

/** Options of criticalPlane. Stresses are nominal, in Pa; the notch factors take them to the local ones. */
export interface CriticalPlaneOptions {
  /** Amplitude of bending that turns with the shaft. */
  readonly rotatingBending: number;
  /** Steady direct stress; 0 by default. */
  readonly steady?: number;
  /** rad/s: constant, or a channel on the clock of the shear stress. */
  readonly speed: number | Channel<'rad/s'>;
  readonly notch: { readonly shear: NotchFactor<'shear'>; readonly direct: NotchFactor<'direct'> };
  /** Findley's k; see findleyFactor. */
  readonly sensitivity: number;
  /** Curve of fully reversed shear. */
  readonly curve: LifeCurve<Measure, 'shear'>;
  readonly residue: ResiduePolicy;
  readonly continuation?: Continuation;
  /** Number of planes over 180°; 36 by default. */
  readonly planes?: number;
}

/** Damage on planes through the surface, and the cycles of the worst one. */
export interface CriticalPlane {
  /** Angle of each plane's normal from the shaft axis, rad. */
  readonly angle: Float64Array;
  readonly damage: Float64Array;
  /** Angle of the plane with most damage, rad. */
  readonly worst: number;
  /** Cycles of the worst plane as fully reversed shear of the same severity: give them to damage, life or lifeBand. */
  readonly cycles: StressCycles<'local', 'shear'>;
  readonly notes: readonly string[];
}

/**
 * Follows torsion with once-per-revolution bending on planes normal to the surface after Findley. On the plane at θ:
 * σn = σ·cos²θ + τ·sin 2θ, τn = τ·cos 2θ − ½σ·sin 2θ. The shear of each plane is rainflow-counted; a cycle of amplitude τa
 * whose normal stress reaches σn,max has the severity (τa + k·σn,max) / √(1 + k²) of a fully reversed shear amplitude.
 *
 * σn,max is the largest between the two turning points of a cycle and as long again after them; compression counts as 0. Under 'repeat' the record
 * goes on at its beginning there, and its largest cycle lasts all of it.
 * Planes inclined to the surface are left out.
 *
 * Kept: damage of every plane, cycles of the worst. Cost: one count for each plane.
 *
 * @param shear nominal shear stress of the record, Pa, from shearStress
 * @param options bending, speed, notch factors, Findley's k, curve and residue policy
 * @returns damage by plane and the cycles of the worst
 * @throws InputError for fewer than 16 samples in a revolution, a speed on another clock, a curve that is not of reversed shear
 * @see combineCycles for a bound without the record, findleyFactor
 * @example
 * const tau = makeChannel({ name: 'tau', unit: 'Pa', sampleRate: 1000, values: Float64Array.from({ length: 4000 }, (_, i) => MPa(100) * Math.sin((2 * Math.PI * 25 * i) / 1000)) });
 * const one = { shear: notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 'smooth' }), direct: notchFactor({ kind: 'direct', value: 1, basis: 'fatigue', source: 'smooth' }) };
 * const curve = curveLibrary.synthetic({ kind: 'shear', ultimate: MPa(700), enduranceLimit: MPa(90) });
 * const found = criticalPlane(tau, { rotatingBending: 0, speed: rpm(1500), notch: one, sensitivity: 0.25, curve, residue: 'half', planes: 180 });
 * found.cycles.cycles.range[20] / 2e6 // => 100.0
 * @references W. N. Findley, A theory for the effect of mean stress on fatigue of metals under combined torsion and axial load or bending, Journal of Engineering for Industry 81 (1959) 301; from memory, number of its equation not known.
 */
export function criticalPlane(shear: Channel<'Pa'>, options: CriticalPlaneOptions): CriticalPlane {
  const where = 'criticalPlane';
  const { direct, tau } = localHistories(where, shear, options);
  const k = checkNumber(where, 'sensitivity', options.sensitivity, { min: 0, max: 5 });
  const curve = checkCurve(where, options.curve, 'shear');
  if (curve.ratio !== -1) throw new InputError({ where, argument: 'curve', expected: 'of fully reversed shear (R = −1)', given: curve.ratio === null ? 'one for every R' : `R = ${curve.ratio}` });
  const planes = checkNumber(where, 'planes', options.planes ?? 36, { min: 4, max: 720, integer: true });
  const perCycle = damageFunction(curve, options.continuation ?? curve.beyond);
  const measure = curve.measure === 'range' ? 2 : 1;
  const angle = Float64Array.from({ length: planes }, (_, p) => (p * Math.PI) / planes);
  const damage = new Float64Array(planes);
  let worst = 0;
  let worstRows: Cycles | null = null;
  for (let p = 0; p < planes; p++) {
    const rows = severity(shear, direct, tau, angle[p]!, k, options.residue);
    for (let i = 0; i < rows.range.length; i++) damage[p]! += rows.count[i]! * perCycle(0.5 * measure * rows.range[i]!);
    if (!worstRows || damage[p]! > damage[worst]!) [worst, worstRows] = [p, rows];
  }
  checkResult(where, 'stress', { damage });
  const source = `Findley's severity with k = ${k} on the plane at ${((angle[worst]! * 180) / Math.PI).toFixed(1)}°`;
  return makeResult<CriticalPlane>('CriticalPlane', {
    angle, damage, worst: angle[worst]!, cycles: makeStressCycles('local', 'shear', worstRows!, [{ step: 'stated', factor: 1, source }], options.notch.shear),
    notes: Object.freeze(['planes inclined to the surface are left out']),
  }, (c) => `Critical plane at ${((c.worst * 180) / Math.PI).toFixed(1)}° of ${c.angle.length}: damage ${twoFigures(Math.max(...c.damage))}`);
}

/**
 * Gives Findley's k from the fully reversed limits of a material in direct stress and in shear:
 * σ/τ = 2 / (1 + k/√(1 + k²)).
 *
 * Cost: none.
 *
 * @param limits both limits, Pa
 * @returns k
 * @throws InputError for a ratio outside 1 to 2, which the theory cannot hold
 * @see criticalPlane
 * @example findleyFactor({ direct: MPa(300), shear: MPa(300 / Math.sqrt(3)) }) // => 0.15659
 * @references W. N. Findley, 1959, as in criticalPlane.
 */
export function findleyFactor(limits: { readonly direct: number; readonly shear: number }): number {
  const where = 'findleyFactor';
  checkOptions(where, limits, { required: ['direct', 'shear'] });
  const ratio = checkNumber(where, 'direct', limits.direct, { above: 0, unit: 'Pa' }) / checkNumber(where, 'shear', limits.shear, { above: 0, unit: 'Pa' });
  if (!(ratio > 1 && ratio <= 2)) throw new InputError({ where, argument: 'direct / shear', expected: 'above 1 and at most 2', given: ratio.toPrecision(4) });
  const c = 2 / ratio - 1;
  return c / Math.sqrt(1 - c * c);
}

/** Local direct and shear stress over the record; −∞ marks what is masked. */
function localHistories(where: string, shear: Channel<'Pa'>, options: CriticalPlaneOptions): { readonly direct: Float64Array; readonly tau: Float64Array } {
  checkChannel(where, shear, ['Pa'], 'Turn torque into stress with shearStress.');
  checkOptions(where, options, { required: ['rotatingBending', 'speed', 'notch', 'sensitivity', 'curve', 'residue'], optional: ['steady', 'continuation', 'planes'] });
  checkOptions(`${where} (notch)`, options.notch, { required: ['shear', 'direct'] });
  const Kt = checkNotch(where, options.notch.shear, 'shear').value;
  const Kb = checkNotch(where, options.notch.direct, 'direct').value;
  const bending = Kb * checkNumber(where, 'rotatingBending', options.rotatingBending, { min: 0, unit: 'Pa' });
  const steady = Kb * checkNumber(where, 'steady', options.steady ?? 0, { unit: 'Pa' });
  const n = shear.values.length;
  const speedAt = speedFunction(where, shear, options.speed);
  const direct = new Float64Array(n);
  let angle = 0;
  for (let i = 0; i < n; i++) {
    direct[i] = steady + bending * Math.cos(angle);
    const speed = Math.abs(speedAt(i));
    if (bending > 0 && speed > (2 * Math.PI * shear.sampleRate) / 16) {
      throw new InputError({ where, argument: 'sample rate', expected: `at least 16 samples in a revolution (${((16 * speed) / (2 * Math.PI)).toPrecision(4)} Hz)`, given: `${shear.sampleRate} Hz`, remedy: 'Resample the shear stress to a higher rate first.' });
    }
    angle += speed / shear.sampleRate;
  }
  return { direct, tau: shear.values.map((v) => Kt * v) };
}

function speedFunction(where: string, shear: Channel, speed: number | Channel<'rad/s'>): (i: number) => number {
  if (typeof speed === 'number') {
    checkNumber(where, 'speed', speed, { min: 0, unit: 'rad/s' });
    return () => speed;
  }
  const channel = checkChannel(where, speed, ['rad/s'], 'Convert it with convert(channel, \'rad/s\').');
  if (channel.values.length !== shear.values.length || channel.sampleRate !== shear.sampleRate) {
    throw new InputError({ where, argument: 'speed', expected: `on the clock of ${shear.name} (${shear.values.length} samples at ${shear.sampleRate} Hz)`, given: `${channel.values.length} samples at ${channel.sampleRate} Hz`, remedy: 'Resample it first.' });
  }
  if (channel.invalid.length > 0) throw new InputError({ where, argument: 'speed', expected: 'valid throughout: the shaft angle is its integral', given: `${channel.invalid.length} masked spans` });
  return (i) => channel.values[i]!;
}

/** Cycles of one plane as fully reversed shear of the same severity. */
function severity(shear: Channel<'Pa'>, direct: Float64Array, tau: Float64Array, angle: number, k: number, residue: ResiduePolicy): Cycles {
  const c2 = Math.cos(2 * angle), s2 = Math.sin(2 * angle), cc = Math.cos(angle) ** 2;
  const onPlane = new Float64Array(tau.length), normal = new Float64Array(tau.length);
  for (let i = 0; i < tau.length; i++) {
    onPlane[i] = tau[i]! * c2 - 0.5 * direct[i]! * s2;
    normal[i] = direct[i]! * cc + tau[i]! * s2;
  }
  for (const span of shear.invalid) normal.fill(-Infinity, span.from, span.to);
  const count = countCycles(makeChannel({ name: shear.name, unit: 'Pa', sampleRate: shear.sampleRate, start: shear.start, values: onPlane, invalid: shear.invalid }));
  const rows = closeResidue(count, residue);
  const highest = highestWithin(normal, rows, residue);
  const root = Math.sqrt(1 + k * k);
  const range = rows.range.map((r, i) => (2 * (0.5 * r + k * Math.max(0, highest(i)))) / root);
  return makeCycles<'Pa'>({ ...rows, unit: 'Pa', range, mean: new Float64Array(range.length), from: range.map((r) => -r / 2), to: range.map((r) => r / 2) });
}

/**
 * The largest value from the beginning of a row to its turning back and as long again after. Where the record is taken as repeated it goes on at its
 * beginning, which a cycle may reach across, and the largest cycle lasts all of it.
 */
function highestWithin(values: Float64Array, { range, fromAt, at }: Cycles, residue: ResiduePolicy): (row: number) => number {
  const highest = rangeMaximum(values);
  const last = values.length - 1;
  if (residue !== 'repeat') return (i) => highest.between(fromAt[i]!, Math.min(last, 2 * at[i]! - fromAt[i]!));
  const top = range.reduce((a, b) => Math.max(a, b), 0);
  return (i) => {
    const from = fromAt[i]!;
    const length = (at[i]! - from + values.length) % values.length;
    const end = from + 2 * length;
    if (range[i]! === top || end - from >= last) return highest.between(0, last);
    return end <= last ? highest.between(from, end) : Math.max(highest.between(from, last), highest.between(0, end - last - 1));
  };
}
