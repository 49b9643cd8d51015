import type { OrderSpectrum } from '../spectrum/orderSpectrum.js';
import type { OrderTracks } from '../spectrum/orderTracks.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, counted, formatted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { markLayers, markRows, placeMarks } from './marks.js';
import { legendHeight, seriesScales } from './series.js';

/** Options of plotOrders. */
export interface OrdersOptions {
  /** Orders to draw of a spectrum; all of them unless given. */
  readonly from?: number;
  readonly to?: number;
  /** Orders to mark in a spectrum by name, at most ten. */
  readonly named?: readonly { readonly order: number; readonly name: string }[];
  readonly title?: string;
}

const where = 'plotOrders';

/**
 * Draws an order spectrum (amplitude against cycles a revolution) or order tracks (amplitude of each order against speed).
 *
 * @param orders from orderSpectrum or orderTracks (at most six tracks)
 * @param options from, to: orders to draw; named: orders to mark; title
 * @returns the figure
 * @throws InputError for something else, more than six tracks, or a part without orders
 * @see plotSpectrum
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 3 * Math.cos(2 * Math.PI * 0.02 * i)) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: new Float64Array(4000).fill(20 * Math.PI) });
 * const record = toShaftAngle(torque, { speed, samplesPerRevolution: 64 });
 * toSvg(plotOrders(orderSpectrum(record, { revolutions: 10 }), { to: 8 })).includes('Torque, peak / N·m') // => true
 */
export function plotOrders(orders: OrderSpectrum | OrderTracks, options?: OrdersOptions): Figure {
  const checked = checkOptions(where, options, { optional: ['from', 'to', 'named', 'title'] });
  if (kindOf(orders) === 'OrderSpectrum') return spectrumOfOrders(orders as OrderSpectrum, checked);
  if (kindOf(orders) === 'OrderTracks') return tracksOfOrders(orders as OrderTracks, checked);
  throw new InputError({ where, argument: 'orders', expected: 'an OrderSpectrum or OrderTracks', given: show(orders), remedy: 'Make one with orderSpectrum or orderTracks.' });
}

function spectrumOfOrders(found: OrderSpectrum, { from = 0, to, named = [], title }: OrdersOptions): Figure {
  const last = found.order.at(-1)!;
  checkNumber(where, 'from', from, { min: 0, below: last });
  const high = checkNumber(where, 'to', to ?? last, { above: from });
  if (named.length > 10) throw new InputError({ where, argument: 'named', expected: 'at most ten orders', given: String(named.length) });
  const indices = Array.from(found.order, (_, i) => i).filter((i) => found.order[i]! >= from && found.order[i]! <= high);
  const largest = indices.reduce((m, i) => Math.max(m, found.amplitude[i]!), 0);
  const shown = shownIn(found.of, largest);
  const placed = placeMarks(named.map((n) => ({ at: n.order, name: n.name })), (order) => (order - from) / (high - from));
  const y = { title: axisTitle(`${shown.title.split(' /')[0]!}, ${found.kind}`, shown.unit), scale: { domainMax: largest * shown.factor * (1.05 + 0.07 * markRows(placed)), domainMin: 0, nice: false } };
  const rows = thinned(indices, found).map((i) => ({ o: found.order[i]!, a: found.amplitude[i]! * shown.factor }));
  const step = found.order[1]! - found.order[0]!;
  const heightAt = (order: number): number => rows.filter((r) => Math.abs(r.o - order) <= step).reduce((m, r) => Math.max(m, r.a), 0);
  const x = { title: 'Order (cycles a revolution)', scale: { domain: [from, high], nice: false } };
  return makeFigure({
    title: title ?? `Orders of ${found.name}`, height: 340, notes: found.notes,
    subtitle: `${counted(found.segments, 'segment')} of ${counted(found.revolutions, 'revolution')}, ${formatted(found.slowest * 30 / Math.PI)} to ${formatted(found.fastest * 30 / Math.PI)} rpm`,
    caption: `Order spectrum of ${found.name}, largest amplitude ${readable(largest * shown.factor)} ${shown.unit}.`,
    body: {
      layer: [
        { data: { values: rows }, mark: { type: 'line', clip: true }, encoding: { x: { field: 'o', type: 'quantitative', ...x }, y: { field: 'a', type: 'quantitative', ...y }, tooltip: [{ field: 'o', type: 'quantitative', title: 'order' }, { field: 'a', type: 'quantitative', title: y.title }] } },
        ...markLayers(placed.map((m) => ({ ...m, value: heightAt(m.at) })), x, y),
      ],
    },
  });
}

function tracksOfOrders(found: OrderTracks, { title }: OrdersOptions): Figure {
  const { tracks } = found;
  if (tracks.length === 0 || tracks.length > 6) throw new InputError({ where, argument: 'orders', expected: 'one to six tracks, or the lines cannot be told apart', given: String(tracks.length) });
  const shown = shownIn(found.unit, Math.max(...tracks.map((t) => t.amplitude.reduce((m, a) => Math.max(m, a), 0))));
  const names = tracks.map((t) => `order ${formatted(t.order)}`);
  const rows = tracks.flatMap((t, k) => Array.from(t.amplitude, (a, i) => ({ n: (found.speed[i]! * 30) / Math.PI, a: a * shown.factor, s: found.time[i]!, series: names[k]! })).filter((r) => Number.isFinite(r.a)));
  return makeFigure({
    title: title ?? `Orders of ${found.name} over speed`, height: 360 + legendHeight(names), notes: found.notes, subtitle: `segments of ${counted(found.revolutions, 'revolution')}, in order of time`,
    caption: `Amplitude of ${names.join(', ')} of ${found.name} against speed.`,
    body: {
      data: { values: rows }, mark: { type: 'line', strokeWidth: 1.6 },
      encoding: {
        x: { field: 'n', type: 'quantitative', title: 'Speed / rpm', scale: { zero: false, nice: false } }, y: { field: 'a', type: 'quantitative', title: axisTitle(`${shown.title.split(' /')[0]!}, ${found.kind}`, shown.unit) },
        order: { field: 's', type: 'quantitative' }, ...seriesScales(names),
        tooltip: [{ field: 'n', type: 'quantitative', title: 'speed / rpm' }, { field: 'a', type: 'quantitative', title: 'amplitude' }, { field: 's', type: 'quantitative', title: 'time / s' }],
      },
    },
  });
}

/** Of each of six hundred parts of the orders the least and the greatest amplitude. */
function thinned(indices: readonly number[], { amplitude }: OrderSpectrum): number[] {
  const size = Math.max(1, Math.ceil(indices.length / 600));
  const kept: number[] = [];
  for (let b = 0; b < indices.length; b += size) {
    const part = indices.slice(b, b + size);
    const low = part.reduce((m, i) => (amplitude[i]! < amplitude[m]! ? i : m), part[0]!);
    const high = part.reduce((m, i) => (amplitude[i]! > amplitude[m]! ? i : m), part[0]!);
    kept.push(...(low === high ? [low] : low < high ? [low, high] : [high, low]));
  }
  return kept;
}
