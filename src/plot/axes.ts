import { quantityOf, unitConversion, type Unit } from '../record/units.js';
import { grouped, powerOfTen, withPower } from '../fatigue/figures.js';
import type { Spec } from './Figure.js';
import { panelPixels } from './page.js';

const titles: Readonly<Record<string, string>> = {
  'not known': 'Value', number: 'Value', count: 'Reading', voltage: 'Voltage', 'angular speed': 'Speed', 'torque rate': 'Torque rate',
};

/** How a quantity is shown: a unit that keeps the numbers short, and what to multiply by to get there. */
export interface Shown {
  readonly unit: string;
  readonly factor: number;
  readonly offset: number;
  /** Axis title, for example `'Torque / N·m'`. */
  readonly title: string;
}

const larger: Readonly<Partial<Record<Unit, readonly (readonly [from: number, unit: Unit])[]>>> = {
  'N·m': [[1e7, 'MN·m'], [1e4, 'kN·m']],
  Pa: [[0, 'MPa']],
  W: [[1e7, 'MW'], [1e4, 'kW']],
  J: [[1e4, 'kJ']],
  strain: [[0, 'µstrain']],
  'V/V': [[0, 'mV/V']],
  m: [[0, 'mm']],
};

/** The unit in which a quantity of that size is shown, and its axis title. `what` replaces the quantity's own name. */
export function shownIn(unit: Unit, largest: number, what?: string): Shown {
  const better = larger[unit]?.find(([from]) => Math.abs(largest) >= from)?.[1] ?? unit;
  const { factor, offset } = better === unit ? { factor: 1, offset: 0 } : unitConversion(unit, better);
  const quantity = quantityOf(unit);
  return { unit: better, factor, offset, title: axisTitle(what ?? titles[quantity] ?? capital(quantity), better) };
}

/** Quantity and unit as ISO 80000 writes them: quantity / unit; a unit that is a quotient goes in brackets. */
export function axisTitle(quantity: string, unit: string): string {
  if (unit === '1' || unit === '') return quantity;
  if (unit === '?') return `${quantity} (unit not stated)`;
  return `${quantity} / ${/[/ ]/.test(unit) ? `(${unit})` : unit}`;
}

/** The text with a capital first letter. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Unit of a time axis over that many seconds, and the seconds in it. */
export function timeUnit(span: number): { readonly unit: string; readonly seconds: number } {
  if (span > 3 * 3600) return { unit: 'h', seconds: 3600 };
  if (span > 600) return { unit: 'min', seconds: 60 };
  if (span < 0.05) return { unit: 'ms', seconds: 1e-3 };
  return { unit: 's', seconds: 1 };
}

/** Title of a time axis; where the record's start is known the axis counts from it. */
export function timeTitle(unit: string, start: string | null): string {
  return start === null ? `Time / ${unit}` : `Time from ${start.replace('T', ' ').replace(/\.?0*Z$/, '')} UTC / ${unit}`;
}

export { grouped, powerOfTen };

/** A whole number of things, for example `1 gap`, `2 gaps`. */
export function counted(n: number, thing: string, things: string = `${thing}s`): string {
  return `${grouped(n)} ${n === 1 ? thing : things}`;
}

/**
 * A number for text: three significant digits, narrow spaces between thousands, powers of ten outside 0.001 … 999 999.
 *
 * @example readable(12345) // => "12 300"
 */
export function readable(value: number, significant = 3): string {
  if (!Number.isFinite(value)) return value > 0 ? '∞' : value < 0 ? '−∞' : '–';
  if (value === 0) return '0';
  const size = Math.abs(Number(value.toPrecision(significant)));
  if (size >= 1e6 || size < 1e-3) return withPower(value.toExponential(significant - 1));
  const places = Math.max(0, significant - 1 - Math.floor(Math.log10(size)));
  const [whole, part] = size.toFixed(places).split('.');
  return `${value < 0 ? '−' : ''}${grouped(Number(whole))}${part ? `.${part}` : ''}`;
}

/** A number as short as it can be written, at most four digits; for numbers that stand for themselves, not for a measurement. */
export function formatted(value: number): string {
  const short = Number.isInteger(value) ? value : Number(value.toPrecision(4));
  return Number.isInteger(short) && Math.abs(short) < 1e6 ? grouped(short) : String(short).replace('-', '−');
}

/** Title of a power density: the unit squared for each hertz. */
export function densityTitle(unit: string): string {
  return axisTitle('Power density', unit === '1' ? 'Hz⁻¹' : `${/[·/]/.test(unit) ? `(${unit})` : unit}²·Hz⁻¹`);
}

/** A logarithmic axis: what goes under `axis`, and the domain of its scale. */
export interface LogAxis {
  readonly axis: Spec;
  readonly scale: Spec;
}

/**
 * Axis of a logarithmic scale over low … high, both above 0: powers of ten labelled as such over three decades and more or where plain numbers would crowd, else 1, 2 and 5
 * times them as plain numbers; the lines between are drawn without label where there is room for them on an axis of so many pixels. Below a factor of three the ticks are evenly
 * spaced numbers. The scale reaches to whole ticks at both ends.
 */
export function logAxis(low: number, high: number, pixels: number = panelPixels()): LogAxis {
  if (high / low < 3) return evenAxis(low, high);
  const first = Math.floor(Math.log10(low) + 1e-9);
  const last = Math.max(first + 1, Math.ceil(Math.log10(high) - 1e-9));
  const plain = (value: number): string => (value >= 1 && value < 1e7 ? grouped(value) : readable(value, 1));
  const decade = pixels / Math.log10(high / low);
  // The closest labels are a factor of 2 apart.
  const closest = Math.log10(2) * decade;
  const wide = high / low >= 1000 || closest < 10 + 7 * Math.max(plain(10 ** last).length, plain(10 ** first).length);
  const every = Math.max(1, Math.ceil(28 / decade));
  const values: number[] = [];
  const labels: Record<string, string> = {};
  for (let e = first; e <= last; e++) {
    for (let m = 1; m <= (e === last || (wide && decade < 45) ? 1 : 9); m++) {
      const value = Number(`${m}e${e}`);
      values.push(value);
      if (wide ? m === 1 && (e - first) % every === 0 : m === 1 || m === 2 || m === 5) labels[String(value)] = wide ? powerOfTen(e) : plain(value);
    }
  }
  const [from, to] = [values.filter((v) => v <= low * (1 + 1e-9)).at(-1)!, values.find((v) => v >= high * (1 - 1e-9)) ?? values.at(-1)!];
  const shown = values.filter((v) => v >= from && v <= to);
  return axisOf(shown, labels);
}

/** Ticks at whole multiples of 1, 2 or 5 times a power of ten, all labelled. */
function evenAxis(low: number, high: number): LogAxis {
  const least = Math.max(high - low, 1e-3 * high) / 6;
  const decade = 10 ** Math.floor(Math.log10(least));
  const step = decade * [1, 2, 5, 10].find((m) => m * decade >= least * (1 - 1e-9))!;
  const first = Math.floor(low / step + 1e-9);
  const values = Array.from({ length: Math.ceil(high / step - 1e-9) - first + 1 }, (_, k) => Number(((first + k) * step).toPrecision(12)));
  return axisOf(values, Object.fromEntries(values.map((v) => [String(v), formatted(v)])));
}

function axisOf(values: readonly number[], labels: Readonly<Record<string, string>>): LogAxis {
  const axis = { values, labelExpr: `${JSON.stringify(labels)}[toString(datum.value)] || ''`, labelOverlap: false, tickCount: values.length };
  return { axis, scale: { type: 'log', domain: [values[0], values.at(-1)], nice: false } };
}

/** The same axis from low to high exactly, with the ticks that lie between. */
export function cutAxis({ axis, scale }: LogAxis, low: number, high: number): LogAxis {
  const inside = (axis['values'] as number[]).filter((v) => v >= low * (1 - 1e-9) && v <= high * (1 + 1e-9));
  return { axis: { ...axis, values: inside }, scale: { ...scale, domain: [low, high] } };
}
