import { checkChannel, duration, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { startOffset } from '../record/readerOf.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { normaliseSpans, sliceSpans, type Span } from '../record/span.js';
import { omegaReader, type SpeedSource } from '../record/omegaReader.js';

/** What powerBalance takes. */
export interface PowerBalanceOptions extends SpeedSource {
  /** Stretch, s; default the whole record. */
  readonly from?: number;
  readonly to?: number;
  /** Cut the end to whole revolutions (default true), so that a part of one does not weigh. */
  readonly wholeRevolutions?: boolean;
  /** Torque of another shaft of the train: what is masked in it is left out here too, so that both balances read the same time (powerEfficiency). */
  readonly alongside?: Channel<'N·m'>;
  /** Standard uncertainties: torque and speed relative, zero in N·m, latency in s. What is left out is taken as exact. */
  readonly uncertainty?: { readonly torque?: number; readonly zero?: number; readonly speed?: number; readonly latency?: number };
}

/** Power and energy of a stretch, beside what short cuts would give. */
export interface PowerBalance {
  /** The record's start, and the stretch used of it, s; `lost` are the masked parts of that stretch. */
  readonly start: string | null;
  readonly from: number;
  readonly to: number;
  readonly lost: readonly TimeWindow[];
  /** s that were used, and masked s among them. */
  readonly seconds: number;
  readonly lostTime: number;
  readonly revolutions: number;
  /** W, the mean of T·ω. */
  readonly meanPower: number;
  /** W, mean T times mean ω: what is missing to meanPower is what torque and speed do together. */
  readonly productOfMeans: number;
  /** J over `seconds`, masked time taken as like the rest. */
  readonly energy: number;
  /** Mean power without the correction for latency, W. */
  readonly uncorrectedPower: number;
  /** Standard uncertainty of meanPower, W, and the share of each input in its square. */
  readonly uncertainty: number;
  readonly shares: Readonly<Record<'torque' | 'zero' | 'speed' | 'latency', number>>;
  readonly notes: readonly string[];
}

const where = 'powerBalance';

/**
 * Gives mean power and energy of a stretch over whole revolutions, with the latency between torque and speed taken out, beside the
 * product of the means and the value without that correction, and its standard uncertainty by first order.
 *
 * Kept: nothing of the samples. Cost: a few passes.
 *
 * @param torque N·m
 * @param options speed; latency, s; from, to, s; wholeRevolutions; alongside; uncertainty
 * @returns power, energy, revolutions, what short cuts would give, uncertainty
 * @throws InputError for a stretch without valid samples or without one whole revolution
 * @see shaftPower
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Array.from({ length: 400 }, (_, i) => 100 + 10 * Math.sin(2 * Math.PI * i / 20)) });
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 100, values: Array.from({ length: 400 }, (_, i) => 20 * Math.PI + Math.sin(2 * Math.PI * i / 20)) });
 * powerBalance(torque, { speed }).meanPower - powerBalance(torque, { speed }).productOfMeans // => 5.00
 * @references JCGM 100:2008, 5.1.2 (first-order propagation).
 */
export function powerBalance(torque: Channel<'N·m'>, options: PowerBalanceOptions): PowerBalance {
  checkChannel(where, torque, ['N·m'], "Convert it with convert(channel, 'N·m').");
  checkOptions(where, options, { required: ['speed'], optional: ['latency', 'from', 'to', 'wholeRevolutions', 'alongside', 'uncertainty'] });
  const window = windowToSamples(where, torque, { from: options.from ?? 0, to: options.to ?? duration(torque) });
  const { speed, latency = 0 } = options;
  const used = { ...stretch(torque, { speed, latency }, window, options.wholeRevolutions ?? true), masks: masksOf(torque, options.alongside) };
  const corrected = meansOver(torque, { speed, latency }, used);
  const plain = meansOver(torque, { speed, latency: 0 }, used);
  const seconds = (used.to - used.from - 1 + used.part) / torque.sampleRate;
  const { uncertainty, shares } = uncertaintyOf(torque, options, used, corrected);
  const notes: string[] = [];
  const from = used.from / torque.sampleRate;
  const lost = sliceSpans(used.masks, used.from, used.to).map((s) => Object.freeze({ from: from + s.from / torque.sampleRate, to: Math.min(from + seconds, from + s.to / torque.sampleRate) }));
  const lostTime = lost.reduce((sum, s) => sum + s.to - s.from, 0);
  if (lostTime > 0) notes.push(`${lostTime.toPrecision(3)} s of ${seconds.toPrecision(4)} s are masked and taken as like the rest.`);
  if (latency !== 0) notes.push(`Without the ${1000 * latency} ms of latency taken out the mean power would be ${(100 * (plain.power / corrected.power - 1)).toPrecision(2)} % off.`);
  return makeResult('PowerBalance', {
    start: torque.start, from, to: from + seconds, lost: Object.freeze(lost), seconds, lostTime, revolutions: used.revolutions, meanPower: corrected.power, productOfMeans: corrected.torque * corrected.omega, energy: corrected.power * seconds,
    uncorrectedPower: plain.power, uncertainty, shares, notes: Object.freeze(notes),
  }, (b) => `Power ${(b.meanPower / 1000).toPrecision(4)} ± ${(b.uncertainty / 1000).toPrecision(2)} kW over ${b.revolutions} revolutions, energy ${(b.energy / 3.6e6).toPrecision(4)} kW·h; product of the means ${(b.productOfMeans / 1000).toPrecision(4)} kW`);
}

/** The masks of the torque, and those of another on its own clock: a sample is out where one of the two of the other about its time is. */
function masksOf(torque: Channel, other: Channel | undefined): readonly Span[] {
  if (other === undefined) return torque.invalid;
  checkChannel(where, other, ['N·m'], "Convert it with convert(channel, 'N·m').");
  const n = torque.values.length;
  const late = startOffset(torque.start, other.start);
  const place = (i: number): number => Math.min(n, Math.max(0, (i / other.sampleRate + late) * torque.sampleRate));
  const outside: Span[] = [{ from: 0, to: Math.ceil(place(0) - 1e-6), why: 'out of range' }, { from: Math.min(n, Math.floor(place(other.values.length - 1) + 1e-6) + 1), to: n, why: 'out of range' }];
  const masked = other.invalid.map((s) => ({ from: Math.floor(place(s.from - 1) + 1e-6) + (s.from === 0 ? 0 : 1), to: Math.ceil(place(s.to) - 1e-6), why: s.why }));
  return normaliseSpans([...torque.invalid, ...outside, ...masked].filter((s) => s.to > s.from), n);
}

/** Samples from … to, the last of which counts by `part`: where the whole revolutions end between two samples. */
interface Stretch { readonly from: number; readonly to: number; readonly part: number; readonly revolutions: number }

/** The samples to use: those with a speed, cut at the end to whole revolutions. */
function stretch(torque: Channel, source: SpeedSource, window: { readonly from: number; readonly to: number }, whole: boolean): Stretch {
  const { at, covered } = omegaReader(where, torque, source);
  const from = Math.max(window.from, covered.from);
  const end = Math.min(window.to, covered.to);
  let angle = 0, to = end, part = 1, last = -1, previous = from < end ? at(from) : 0;
  const turn = 2 * Math.PI;
  for (let i = from + 1; i < end; i++) {
    const now = at(i);
    const step = (previous + now) / (2 * torque.sampleRate);
    angle += step;
    previous = now;
    const turns = Math.floor(Math.abs(angle) / turn);
    if (turns > last) {
      last = turns;
      if (turns > 0) [to, part] = [i, 1 - (Math.abs(angle) - turns * turn) / Math.abs(step)];
    }
  }
  if (whole && Math.abs(angle) < turn * (last - 0.5)) {
    throw new InputError({ where, argument: 'speed', expected: 'a shaft that turns one way in the stretch', given: 'one that turns back', remedy: 'Give from and to of one direction, or set wholeRevolutions: false.' });
  }
  if (!whole) return { from, to: end, part: 1, revolutions: angle / turn };
  if (last < 1) throw new InputError({ where, argument: 'from, to', expected: 'a stretch of at least one revolution', given: `${(Math.abs(angle) / turn).toPrecision(2)} of one`, remedy: 'Widen it, or set wholeRevolutions: false.' });
  return { from, to, part, revolutions: last };
}

/** A stretch with the samples of it that are not read. */
type Used = Stretch & { readonly masks: readonly Span[] };

interface Means { readonly torque: number; readonly omega: number; readonly power: number }

function meansOver(torque: Channel, source: SpeedSource, { from, to, part, masks }: Used): Means {
  const { at, covered } = omegaReader(where, torque, source);
  let count = 0, sumT = 0, sumW = 0, sumP = 0, k = 0;
  for (let i = Math.max(from, covered.from); i < Math.min(to, covered.to); i++) {
    while (k < masks.length && masks[k]!.to <= i) k++;
    if (k < masks.length && masks[k]!.from <= i) continue;
    const weight = i + 1 === to ? part : 1;
    const w = at(i);
    const T = torque.values[i]!;
    count += weight;
    sumT += weight * T;
    sumW += weight * w;
    sumP += weight * T * w;
  }
  if (count === 0) throw new InputError({ where, argument: torque.name, expected: 'valid samples in the stretch', given: 'none' });
  return { torque: sumT / count, omega: sumW / count, power: sumP / count };
}

function uncertaintyOf(torque: Channel, options: PowerBalanceOptions, used: Used, means: Means): { readonly uncertainty: number; readonly shares: PowerBalance['shares'] } {
  const u = options.uncertainty ?? {};
  checkOptions(`${where}, uncertainty`, u, { optional: ['torque', 'zero', 'speed', 'latency'] });
  for (const key of ['torque', 'zero', 'speed', 'latency'] as const) if (u[key] !== undefined) checkNumber(where, `uncertainty.${key}`, u[key], { min: 0 });
  const { speed, latency = 0 } = options;
  const h = u.latency ?? 0;
  const slope = h === 0 ? 0 : (meansOver(torque, { speed, latency: latency + h }, used).power - meansOver(torque, { speed, latency: latency - h }, used).power) / 2;
  const parts = { torque: (u.torque ?? 0) * means.power, zero: (u.zero ?? 0) * means.omega, speed: (u.speed ?? 0) * means.power, latency: slope };
  const square = Object.values(parts).reduce((s, p) => s + p * p, 0);
  const share = (p: number): number => (square > 0 ? (p * p) / square : 0);
  return { uncertainty: Math.sqrt(square), shares: Object.freeze({ torque: share(parts.torque), zero: share(parts.zero), speed: share(parts.speed), latency: share(parts.latency) }) };
}
