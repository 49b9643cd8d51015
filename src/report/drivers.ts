import { normalQuantile } from '../numeric/distributions.js';
import type { CycleCount } from '../count/CycleCount.js';
import { twoFigures } from '../fatigue/figures.js';
import type { Tornado, TornadoBar } from '../fatigue/tornado.js';
import type { Damage } from '../fatigue/damage.js';
import { sectionOf } from './prepare.js';
import { damageBy, type DamageChain, type Price } from './prices.js';

/** One thing that drives the life, in a sentence, with the factors on life that it stands for. */
export interface Driver {
  readonly name: string;
  readonly sentence: string;
  /** Life over the assessed life, smallest and largest; 0 to 1 where that life has no end. */
  readonly low: number;
  readonly high: number;
}

/** By how much the stress is moved to see what it does. */
const step = 0.05;

/**
 * What drives the life most, strongest first: the scale of the stress (moved by 5 %), the scatter of the S-N tests (nine
 * parts of ten), and the choices as priced. Bounds on what was lost are no drivers; they stand among the prices.
 */
export function findDrivers(chain: DamageChain, count: CycleCount<'N·m'>, assessed: Damage, prices: readonly Price[]): readonly Driver[] {
  if (!(assessed.perHour > 0)) return [];
  const drivers: Driver[] = [];
  const scaled = (factor: number): number => {
    // A section whose diameters shrink by the cube root has that much less modulus.
    const shrink = factor ** (-1 / 3);
    const section = sectionOf({ outerDiameter: chain.section.outerDiameter * shrink, innerDiameter: chain.section.innerDiameter * shrink });
    return assessed.perHour / damageBy({ ...chain, section }, count).perHour;
  };
  const low = scaled(1 + step);
  const high = scaled(1 - step);
  drivers.push({ name: 'scale of the stress', sentence: `The scale of the stress (gauge, section, notch, curve): 5 % more multiplies the life by ${times(low)}, 5 % less by ${times(high)}.`, low, high });
  const { deviation } = chain.options.curve;
  if (deviation) {
    const reach = 10 ** (normalQuantile(0.95) * deviation);
    drivers.push({ name: 'scatter of the S-N tests', sentence: `The scatter of the S-N tests (standard deviation ${deviation} of log N): nine parts of ten last ${times(1 / reach)} to ${times(reach)} times as long.`, low: 1 / reach, high: reach });
  }
  for (const choice of new Set(prices.filter((p) => !p.bound).map((p) => p.choice))) {
    const own = prices.filter((p) => p.choice === choice);
    const lives = own.map((p) => 1 / p.damageRatio);
    drivers.push({
      name: choice, sentence: `The choice "${choice}" (taken: ${own[0]!.taken}): ${own.map((p) => `"${p.instead}" would multiply the life by ${times(1 / p.damageRatio)}`).join(', ')}.`,
      low: Math.min(1, ...lives), high: Math.max(1, ...lives),
    });
  }
  return Object.freeze(drivers.map((d) => Object.freeze(d)).sort(longestFirst));
}

function longestFirst(a: Driver, b: Driver): number {
  const [own, other] = [a.high / a.low, b.high / b.low];
  return own === other ? 0 : other - own;
}

/**
 * What drives the life by its tornado, strongest first: inputs between their 5 % and 95 % points, choices as priced. Of a life without end it is
 * what brings an end to it.
 */
export function driversOf(bars: Tornado): readonly Driver[] {
  if (!Number.isFinite(bars.base)) return Object.freeze(bars.bars.filter((bar) => Number.isFinite(bar.low)).map(endOf));
  return Object.freeze(bars.bars.map((bar) => {
    const [low, high] = [bar.low / bars.base, bar.high / bars.base];
    const sentence = bar.of === 'input'
      ? `${inputWords[bar.name] ?? bar.name}: between its 5 % and 95 % points the life goes from ${times(low)} to ${times(high)} of its middle.`
      : `The ${bar.name}: the other choices give ${times(low)} (${bar.lowLabel}) to ${times(high)} (${bar.highLabel}) of the life.`;
    return Object.freeze({ name: bar.name, sentence, low, high });
  }));
}

/** What brings an end to a life that has none with every input at its middle and every choice as made. */
function endOf({ name, of, low, lowLabel }: TornadoBar): Driver {
  const at = of === 'input' ? `${inputWords[name] ?? name}: at its ${lowLabel}` : `The ${name}: with "${lowLabel}"`;
  return Object.freeze({ name, sentence: `${at} the life is ${twoFigures(low)} h; as assessed it has no end.`, low: 0, high: 1 });
}

/** What a reader calls each input. */
const inputWords: Readonly<Record<string, string>> = {
  gauge: 'The scale of the measured torque (gauge)', zero: 'The zero', section: 'The diameter of the section', notch: 'The notch factor', strength: 'The strength of the material', curve: 'The scatter of the S-N tests',
  criticalSum: 'Miner\'s sum at failure', duty: 'How well the record stands for the hours to come', shares: 'How the hours fall on the states',
};

/** A factor with two significant figures. */
function times(factor: number): string {
  return factor === Number.POSITIVE_INFINITY ? '∞' : String(Number(factor.toPrecision(2)));
}
