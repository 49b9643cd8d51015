import { InputError, makeChannel, markInvalid, validityMask, type Channel } from '../src/index.js';

/** What a person or a program may hand over by mistake in the place of one argument. */
const hostile: readonly unknown[] = [undefined, null, Number.NaN, Infinity, -Infinity, 0, -1, 0.5, 1e308, -1e308, 5e-324, '', '5', 'high', true, [], {}, [null], [Number.NaN], () => 1, Symbol('x'), 10n];

/** Channels of the same unit that a verb may meet: empty of information in one way or another. */
function poorChannels(c: Channel): unknown[] {
  const like = (values: ArrayLike<number>, more: object = {}): Channel => makeChannel({ name: c.name, unit: c.unit, sampleRate: c.sampleRate, start: c.start, values, ...more });
  const n = c.values.length;
  return [
    like([1]), like([1, 2]), like(new Float64Array(n)), like(new Float64Array(n).fill(1e308)), like(Float64Array.from({ length: n }, (_, i) => (i % 2 === 0 ? 1e308 : -1e308))), like(c.values.map((v) => v * 1e-310)),
    markInvalid(c, [{ from: 0, to: n, why: 'dropout' }]), markInvalid(c, [{ from: 1, to: n, why: 'dropout' }]), like(c.values, { sampleRate: c.sampleRate * 1e9 }), like(c.values, { sampleRate: c.sampleRate * 1e-9 }),
    makeChannel({ name: c.name, unit: 'Hz', sampleRate: c.sampleRate, values: c.values }), { ...c, values: Array.from(c.values) }, { ...c, values: null }, { ...c, unit: undefined }, { name: 'x', unit: c.unit }, c.values,
  ];
}

const isChannel = (x: unknown): x is Channel => typeof x === 'object' && x !== null && (x as Channel).values instanceof Float64Array && 'sampleRate' in x;

/** Every copy of `value` in which one place is hostile, with the name of the place. */
function* spoilt(value: unknown, path: string): Generator<readonly [string, unknown]> {
  for (const h of hostile) yield [`${path} = ${String(Array.isArray(h) ? `[${h.map(String).join()}]` : typeof h === 'object' && h !== null ? '{}' : h)} (${typeof h})`, h];
  if (isChannel(value)) {
    let k = 0;
    for (const c of poorChannels(value)) yield [`${path} = poor channel ${k++}`, c];
  } else if (Array.isArray(value)) {
    for (let i = 0; i < Math.min(value.length, 3); i++) for (const [p, v] of spoilt(value[i], `${path}[${i}]`)) yield [p, value.map((old: unknown, j) => (j === i ? v : old))];
    yield [`${path} cut to one`, value.slice(0, 1)];
    yield [`${path} all alike`, value.map(() => value[0] as unknown)];
  } else if (typeof value === 'object' && value !== null && !ArrayBuffer.isView(value) && (Object.getPrototypeOf(value) === Object.prototype || Object.isFrozen(value))) {
    for (const key of Object.keys(value)) for (const [p, v] of spoilt((value as Record<string, unknown>)[key], `${path}.${key}`)) yield [p, { ...value, [key]: v }];
    yield [`${path} with an unknown key`, { ...value, colour: 'red' }];
  }
}

/** The first number of a result that is none: NaN anywhere, or an infinity that is no count of degrees of freedom. Values under masks are as recorded. */
function noNumber(result: unknown, path: string): string | null {
  if (typeof result === 'number') return Number.isNaN(result) || (!Number.isFinite(result) && !/degreesOfFreedom|free/i.test(path)) ? `${path} is ${result}` : null;
  if (typeof result !== 'object' || result === null) return null;
  if (isChannel(result)) {
    const mask = validityMask(result);
    const at = result.values.findIndex((v, i) => mask[i] === 1 && !Number.isFinite(v));
    return at >= 0 ? `${path}.values[${at}] is ${result.values[at]}` : noNumber(result.trail.at(-1)?.found, `${path}.trail.found`);
  }
  for (const [key, inner] of ArrayBuffer.isView(result) ? Object.entries(result as unknown as number[]) : Object.entries(result)) {
    const bad = noNumber(inner, `${path}.${key}`);
    if (bad !== null) return bad;
  }
  return null;
}

/**
 * Calls a verb with every place of its arguments spoilt in turn and gives what went wrong: an error that is no InputError or no sentence, or a result that is no number. An empty list is what should come.
 */
export function breaches(verb: (...args: never[]) => unknown, args: readonly unknown[]): readonly string[] {
  const wrong: string[] = [];
  const whole = noNumber(verb(...(args as never[])), 'result');
  if (whole !== null) wrong.push(`as meant: ${whole}`);
  args.forEach((arg, k) => {
    for (const [place, value] of spoilt(arg, `argument ${k + 1}`)) {
      try {
        const bad = noNumber(verb(...(args.map((a, j) => (j === k ? value : a)) as never[])), 'result');
        if (bad !== null) wrong.push(`${place}: ${bad}`);
      } catch (error) {
        if (!(error instanceof InputError)) wrong.push(`${place}: ${String(error)}`);
        else if (!/^\S.*: .{10,}[.!?]$/s.test(error.message) || /undefined undefined|\[object/.test(error.message)) wrong.push(`${place}: no sentence: ${error.message}`);
      }
    }
  });
  return wrong;
}
