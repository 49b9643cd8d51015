import { normalQuantile } from '../numeric/distributions.js';
import { createRandom } from '../numeric/random.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Damage } from './damage.js';
import type { Life } from './life.js';
import { lifeModel, type LifeBandOptions, type LifeModel, type LifeState } from './lifeBand.js';
import { twoFigures } from './figures.js';
import type { LifeInput } from './lifeInputs.js';
import type { StressCycles } from './StressCycles.js';

/** A result that another choice of the analyst would have given. */
export interface Alternative {
  /** What was chosen, for instance `'residue'`. */
  readonly choice: string;
  /** The other choice, for instance `'drop'`. */
  readonly name: string;
  /** What it gives: a Damage, used up at the Miner sum and on the curve of the middle; or a Life or hours, as they stand. */
  readonly result: Life | Damage | number;
}

/** One bar: how far the life goes with one input or choice, the others at their middle. */
export interface TornadoBar {
  readonly name: string;
  readonly of: 'input' | 'choice';
  /** Shortest and longest life, h. */
  readonly low: number;
  readonly high: number;
  /** What leads to them. */
  readonly lowLabel: string;
  readonly highLabel: string;
}

/** Bars by falling length on a logarithmic scale of life; of those without end first the one that begins at the shortest life. */
export interface Tornado {
  /** Hours with every input at its middle and every choice as made. */
  readonly base: number;
  readonly bars: readonly TornadoBar[];
  readonly notes: readonly string[];
}

/**
 * Shows what drives a life: each input moved to its 5 % and 95 % point with the others at their middle, and each choice of
 * the analyst replaced by the alternatives handed in. Uncertain shares of the hours are an input too: their points are those of the damage that 2000 draws of them give.
 *
 * Kept: the two ends of every bar. Cost: two lives for each input.
 *
 * @param cycles as lifeBand takes them
 * @param options as lifeBand takes them, and `alternatives`: named results of other choices, made with every input at the same middle
 * @returns bars, the longest first
 * @throws InputError as lifeBand does, or for an alternative that is no Life, Damage or number
 * @see lifeBand, damageContinuations
 * @example
 * const cycles = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(60)], count: [1e5], hours: 24 }), { basis: 'local', kind: 'direct', source: 'by hand' });
 * const curve = curveLibrary.dnvAir('D');
 * const bars = tornado(cycles, { curve, meanStress: 'none', residue: 'half', inputs: { curve: {}, gauge: { shape: 'normal', deviation: 0.02 } }, alternatives: [{ choice: 'curve', name: 'class E', result: 2000 }] }).bars;
 * bars.map((bar) => bar.name) // => ["curve","choice of curve","gauge"]
 */
export function tornado<C extends StressCycles<'local'>>(cycles: C | readonly LifeState<C>[], options: LifeBandOptions<C['kind']> & { readonly alternatives: readonly Alternative[] }): Tornado {
  const where = 'tornado';
  checkOptions(where, options, { required: ['curve', 'meanStress', 'residue', 'inputs', 'alternatives'], optional: ['continuation', 'criticalSum', 'draws', 'seed', 'probabilities'] });
  const { alternatives, ...rest } = options;
  if (!Array.isArray(alternatives)) throw new InputError({ where, argument: 'alternatives', expected: 'a list of named results (it may be empty)', given: show(alternatives) });
  const model = lifeModel(where, cycles, rest as LifeBandOptions<C['kind']>);
  const z = normalQuantile(0.95);
  const bars: TornadoBar[] = model.sampler.names.map((name: LifeInput) => {
    const at = (value: number): number => model.hours(model.sampler.draw(new Map([[name, value]])));
    return bar(name, 'input', [[at(-z), '5 % point'], [at(z), '95 % point']]);
  });
  if (model.sampler.drawShares) bars.push(sharesBar(model, model.sampler.drawShares, options.seed ?? 1));
  for (const choice of new Set(alternatives.map((a) => a.choice))) {
    const ends = alternatives.filter((a) => a.choice === choice).map((a, i): [number, string] => {
      checkOptions(`${where} (alternatives)`, a, { required: ['choice', 'name', 'result'] });
      return [hoursOf(where, a.result, i, model), a.name];
    });
    bars.push(bar(`choice of ${choice}`, 'choice', [...ends, [model.middle, 'as chosen']]));
  }
  bars.sort(byLength);
  return makeResult<Tornado>('Tornado', { base: model.middle, bars: Object.freeze(bars), notes: Object.freeze([...model.notes, ...model.sampler.notes]) },
    (t) => `Tornado about ${twoFigures(t.base)} h: ${t.bars.slice(0, 3).map((b) => `${b.name} ${twoFigures(b.low)} to ${twoFigures(b.high)} h`).join('; ')}`);
}

function bar(name: string, of: 'input' | 'choice', ends: readonly (readonly [number, string])[]): TornadoBar {
  const sorted = [...ends].sort((a, b) => (a[0] === b[0] ? 0 : a[0] - b[0]));
  return Object.freeze({ name, of, low: sorted[0]![0], high: sorted.at(-1)![0], lowLabel: sorted[0]![1], highLabel: sorted.at(-1)![1] });
}

/** The lives that uncertain shares of the hours lead to. */
function sharesBar({ rateOf, hoursAt }: LifeModel, drawShares: NonNullable<LifeModel['sampler']['drawShares']>, seed: number): TornadoBar {
  const random = createRandom(checkNumber('tornado', 'seed', seed, { integer: true }));
  const rates = Float64Array.from({ length: shareDraws }, () => rateOf(drawShares(random))).sort();
  const at = (p: number): number => hoursAt(rates[Math.round(p * (shareDraws - 1))]!);
  return bar('shares', 'input', [[at(0.05), '5 % point'], [at(0.95), '95 % point']]);
}

/** Draws of the shares of the hours for their bar. */
const shareDraws = 2000;

/** Longest in log life first; a bar that reaches a life of 0 or without end is longest. */
function byLength(a: TornadoBar, b: TornadoBar): number {
  const [own, other] = [length(a), length(b)];
  if (own !== other) return other - own;
  return a.low === b.low ? 0 : a.low - b.low;
}

function length(b: TornadoBar): number {
  return b.low === b.high ? 0 : Math.log(b.high / b.low);
}

function hoursOf(where: string, result: Alternative['result'], index: number, model: LifeModel): number {
  if (typeof result === 'number') {
    if (result === Infinity) return result;
    return checkNumber(where, `alternatives[${index}].result`, result, { min: 0, unit: 'h' });
  }
  if (kindOf(result) === 'Life') return (result as Life).hours;
  if (kindOf(result) === 'Damage') return model.hoursAt((result as Damage).perHour);
  throw new InputError({ where, argument: `alternatives[${index}].result`, expected: 'a Life, a Damage or hours', given: show(result) });
}
