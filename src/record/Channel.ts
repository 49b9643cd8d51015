import { InputError } from './errors.js';
import { checkNumber, show } from './check.js';
import { type Json, toJson } from './json.js';
import { kindOf, makeResult } from './result.js';
import { coveredSamples, normaliseSpans, runsBetween, spansWhere, type Run, type Span } from './span.js';
import { checkStart } from './time.js';
import { isUnit, allUnits, type Unit } from './units.js';
import { version } from './version.js';

/** Another channel that a step read besides its subject, with the trail that leads to it from its raw form. */
export interface Origin {
  /** The option under which the step took it, for example `'temperature'`. */
  readonly role: string;
  readonly name: string;
  readonly unit: Unit;
  readonly trail: readonly Step[];
}

/** One step of a trail: what was asked, what was found, by which version, reading which other channels. */
export interface Step {
  readonly op: string;
  readonly options: Json;
  readonly found: Json;
  readonly by: string;
  readonly inputs: readonly Origin[];
}

/** One measured quantity on a uniform clock. Plain frozen data; never changed in place. */
export interface Channel<U extends Unit = Unit> {
  readonly name: string;
  readonly unit: U;
  /** Samples per second, Hz. */
  readonly sampleRate: number;
  /** ISO 8601 UTC of values[0]; null = not known. */
  readonly start: string | null;
  readonly values: Float64Array;
  /** Sorted, disjoint; samples that no computation may read, each with its reason. Their values are kept as recorded. */
  readonly invalid: readonly Span[];
  /** Oldest first. */
  readonly trail: readonly Step[];
}

/** What makeChannel takes. */
export interface ChannelData<U extends Unit> {
  readonly name: string;
  readonly unit: U;
  readonly sampleRate: number;
  readonly values: ArrayLike<number>;
  readonly start?: string | null;
  readonly invalid?: readonly Span[];
  /** The first step, where it is not makeChannel itself (readers state their own). */
  readonly step?: { readonly op: string; readonly options: unknown; readonly found: unknown };
}

/**
 * Makes a channel from numbers. Samples that are not finite are masked with the reason 'not a number', and the trail
 * says how many; the values are copied unless they are a Float64Array already.
 *
 * @param data name, unit, sampleRate in Hz (above 0), values (at least one), and optionally start (ISO 8601 UTC) and invalid spans
 * @returns the frozen channel
 * @throws InputError for an unknown unit, a rate that is not above 0, no values, or a bad span
 * @example
 * makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: [1, 2, NaN, 4] }).invalid
 * // => [{"from":2,"to":3,"why":"not a number"}]
 */
export function makeChannel<U extends Unit>(data: ChannelData<U>): Channel<U> {
  const where = data.step?.op ?? 'makeChannel';
  if (typeof data.name !== 'string' || data.name.trim() === '') {
    throw new InputError({ where, argument: 'name', expected: 'a name', given: show(data.name) });
  }
  if (!isUnit(data.unit)) {
    throw new InputError({ where, argument: `unit of ${data.name}`, expected: `one of ${allUnits.join(', ')}`, given: show(data.unit) });
  }
  checkNumber(where, `sampleRate of ${data.name}`, data.sampleRate, { above: 0, unit: 'Hz' });
  if (data.values === null || typeof data.values !== 'object' || !(data.values.length > 0)) {
    throw new InputError({ where, argument: `values of ${data.name}`, expected: 'at least one number', given: show(data.values) });
  }
  const values = data.values instanceof Float64Array ? data.values : Float64Array.from(data.values);
  const start = checkStart(where, data.start ?? null);
  const given = normaliseSpans(data.invalid ?? [], values.length, where);
  const notFinite = runsBetween(given, values.length).flatMap((run) =>
    isFiniteRun(values, run) ? [] : spansWhere(run.to - run.from, (i) => !Number.isFinite(values[run.from + i]), 'not a number')
      .map((span) => ({ ...span, from: span.from + run.from, to: span.to + run.from })));
  const invalid = normaliseSpans([...given, ...notFinite], values.length, where);
  const step = data.step ?? {
    op: 'makeChannel', options: { name: data.name, unit: data.unit, sampleRate: data.sampleRate, start },
    found: { samples: values.length, notANumber: coveredSamples(notFinite) },
  };
  const first = makeStep(step.op, step.options, step.found, []);
  return freezeChannel({ name: data.name, unit: data.unit, sampleRate: data.sampleRate, start, values, invalid, trail: [first] });
}

/** What an operation changes of its subject; what it leaves out stays. */
export interface Outcome {
  readonly name?: string;
  readonly unit?: Unit;
  readonly sampleRate?: number;
  readonly start?: string | null;
  readonly values?: Float64Array;
  readonly invalid?: readonly Span[];
  /** What was found on the way, for the trail. */
  readonly found: object;
}

/**
 * The only way to a next channel: applies an outcome and appends the step. Channels among the options become the
 * step's inputs, with their trails.
 */
export function nextChannel(subject: Channel, op: string, options: object, outcome: Outcome): Channel {
  const values = outcome.values ?? subject.values;
  const invalid = outcome.invalid ? normaliseSpans(outcome.invalid, values.length, op) : subject.invalid;
  for (const run of runsBetween(invalid, values.length)) {
    if (!isFiniteRun(values, run)) {
      throw new InputError({ where: op, argument: subject.name, expected: `within the range of double precision after ${op}`, given: 'a result that is not finite' });
    }
  }
  const plain: Record<string, unknown> = {};
  const inputs: Origin[] = [];
  for (const [role, value] of Object.entries(options)) {
    if (isChannel(value)) inputs.push(Object.freeze({ role, name: value.name, unit: value.unit, trail: value.trail }));
    else plain[role] = value;
  }
  return freezeChannel({
    name: outcome.name ?? subject.name, unit: outcome.unit ?? subject.unit, sampleRate: outcome.sampleRate ?? subject.sampleRate,
    start: outcome.start === undefined ? subject.start : outcome.start, values, invalid,
    trail: [...subject.trail, makeStep(op, plain, outcome.found, inputs)],
  });
}

/** Is this one of our channels? */
export function isChannel(value: unknown): value is Channel {
  return kindOf(value) === 'Channel';
}

/** The channel itself. @throws InputError where it is something else, or carries another unit than the one needed. */
export function checkChannel<U extends Unit>(where: string, channel: unknown, units?: readonly U[], remedy?: string): Channel<U> {
  if (!isChannel(channel)) {
    throw new InputError({ where, argument: 'channel', expected: 'a Channel', given: show(channel), remedy: 'Make one with makeChannel or readRecording.' });
  }
  if (units && !units.includes(channel.unit as U)) {
    throw new InputError({ where, argument: `unit of ${channel.name}`, expected: units.join(' or '), given: channel.unit, ...(remedy ? { remedy } : {}) });
  }
  return channel as Channel<U>;
}

/**
 * The runs of valid samples, in order.
 *
 * @example
 * validRuns(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, NaN, 3] }))
 * // => [{"from":0,"to":1},{"from":2,"to":3}]
 */
export function validRuns(channel: Channel): readonly Run[] {
  return runsBetween(channel.invalid, channel.values.length);
}

/** One byte a sample: 1 where it is valid, 0 where it is masked. */
export function validityMask(channel: Channel): Uint8Array {
  const mask = new Uint8Array(channel.values.length).fill(1);
  for (const span of channel.invalid) mask.fill(0, span.from, span.to);
  return mask;
}

/** Seconds from the first sample to the end of the last one. */
export function duration(channel: Channel): number {
  return channel.values.length / channel.sampleRate;
}

function makeStep(op: string, options: unknown, found: unknown, inputs: readonly Origin[]): Step {
  return Object.freeze({ op, options: toJson(options, op), found: toJson(found, op), by: `quillshaft ${version}`, inputs: Object.freeze([...inputs]) });
}

function freezeChannel<U extends Unit>(data: Channel<U>): Channel<U> {
  return makeResult('Channel', { ...data, trail: Object.freeze([...data.trail]) }, describeChannel);
}

function describeChannel(channel: Channel): string {
  const n = channel.values.length;
  const lost = coveredSamples(channel.invalid);
  const mask = lost === 0 ? 'all valid' : `${((100 * lost) / n).toPrecision(2)} % masked in ${channel.invalid.length} span${channel.invalid.length === 1 ? '' : 's'}`;
  return `Channel ${channel.name} [${channel.unit}]: ${n} samples at ${channel.sampleRate} Hz (${formatSeconds(duration(channel))}), ${mask}, ${channel.trail.map((s) => s.op).join(' → ')}`;
}

/** Seconds in the unit that a reader would choose. @example formatSeconds(5400) // => "1.50 h" */
export function formatSeconds(seconds: number): string {
  if (seconds >= 3600) return `${(seconds / 3600).toPrecision(3)} h`;
  if (seconds >= 120) return `${(seconds / 60).toPrecision(3)} min`;
  return `${seconds.toPrecision(3)} s`;
}

function isFiniteRun(values: Float64Array, run: Run): boolean {
  let sum = 0;
  for (let i = run.from; i < run.to; i++) sum += values[i]! * 0;
  return sum === 0;
}
