import { show } from '../record/check.js';
import { FormatError } from '../record/errors.js';
import type { ClosedCycles } from './CycleCount.js';

/** Reads members of an object and says which one is wrong. */
export class MemberReader {
  readonly #data: Readonly<Record<string, unknown>>;
  readonly #file: string;

  constructor(data: Readonly<Record<string, unknown>>, file: string) {
    this.#data = data;
    this.#file = file;
  }

  number(key: string): number {
    const value = this.#data[key];
    if (typeof value !== 'number' || !Number.isFinite(value)) throw new FormatError({ file: this.#file, found: `${key} ${show(value)}`, expected: `a finite number as ${key}` });
    return value;
  }

  whole(key: string): number {
    const value = this.number(key);
    if (!Number.isInteger(value) || value < 0) throw new FormatError({ file: this.#file, found: `${key} ${value}`, expected: `a whole number from 0 as ${key}` });
    return value;
  }

  choice(key: string, test: (value: unknown) => boolean, expected: string): unknown {
    const value = this.#data[key];
    if (!test(value)) throw new FormatError({ file: this.#file, found: `${key} ${show(value)}`, expected });
    return value;
  }

  /** Lists of finite numbers. */
  lists(key: string, names: readonly string[]): Record<string, Float64Array> {
    const group = this.#data[key] as Record<string, unknown> | null | undefined;
    const out: Record<string, Float64Array> = {};
    for (const name of names) {
      const list = group?.[name];
      if (!(Array.isArray(list) || list instanceof Float64Array) || !list.every((v: unknown) => typeof v === 'number' && Number.isFinite(v))) throw new FormatError({ file: this.#file, found: `${key}.${name} ${show(list)}`, expected: `a list of finite numbers as ${key}.${name}` });
      out[name] = Float64Array.from(list as ArrayLike<number>);
    }
    return out;
  }

  /** Lists of one length. */
  columns(key: string, names: readonly string[]): Record<string, Float64Array> {
    const out = this.lists(key, names);
    const lengths = names.map((name) => out[name]!.length);
    if (new Set(lengths).size > 1) throw new FormatError({ file: this.#file, found: `${key} with lists of ${lengths.join(', ')}`, expected: `lists of one length in ${key}` });
    return out;
  }

  places(key: string, at: Float64Array, samples: number, rising: boolean): void {
    const wrong = at.findIndex((a, k) => !Number.isInteger(a) || a < 0 || a >= samples || (rising && k > 0 && a <= at[k - 1]!));
    this.#refuse(key, at, wrong, `${rising ? 'rising ' : ''}sample indices below ${samples} as ${key}`);
  }

  /** Cycles begin before they turn back, and range and mean are finite. */
  cycles(key: string, { from, to, fromAt, at }: ClosedCycles, samples: number, rising: boolean): void {
    this.places(`${key}.at`, at, samples, rising);
    this.places(`${key}.fromAt`, fromAt, samples, false);
    this.#refuse(`${key}.fromAt`, fromAt, fromAt.findIndex((begin, k) => begin >= at[k]!), `a place before ${key}.at`);
    this.#refuse(`${key}.to`, to, to.findIndex((end, k) => !Number.isFinite(Math.abs(end - from[k]!) + Math.abs(end + from[k]!))), `a finite range and mean with ${key}.from`);
  }

  /** Turning points turn at each one, and their ranges are finite. */
  turns(key: string, values: Float64Array): void {
    const step = (k: number): number => values[k]! - values[k - 1]!;
    this.#refuse(key, values, values.findIndex((_, k) => k > 0 && !Number.isFinite(step(k))), 'a finite range to the turning point before it');
    this.#refuse(key, values, values.findIndex((_, k) => k > 0 && (step(k) === 0 || (k > 1 && step(k) > 0 === step(k - 1) > 0))), 'turning points, up and down by turns');
  }

  #refuse(key: string, values: Float64Array, wrong: number, expected: string): void {
    if (wrong >= 0) throw new FormatError({ file: this.#file, found: `${key}[${wrong}] = ${values[wrong]}`, expected });
  }
}
