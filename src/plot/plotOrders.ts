import type { OrderSpectrum } from '../spectrum/orderSpectrum.js';
import type { OrderTracks } from '../spectrum/orderTracks.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, formatted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { seriesScales } from './series.js';
import { alertInk } from './theme.js';

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
  const y = { field: 'a', type: 'quantitative', title: axisTitle(`${shown.title.split(' /')[0]!}, ${found.kind}`, shown.unit), scale: { domainMax: largest * shown.factor * (named.length > 0 ? 1.25 : 1.05), domainMin: 0, nice: false } };
  const x = { field: 'o', type: 'quantitative', title: 'Order (cycles a revolution)', scale: { domain: [from, high], nice: false } };
  const rows = thinned(indices, found).map((i) => ({ o: found.order[i]!, a: found.amplitude[i]! * shown.factor }));
  const step = found.order[1]! - found.order[0]!;
  const marks = [...named].sort((p, q) => p.order - q.order).map((n, k) => ({ o: n.order, a: rows.filter((r) => Math.abs(r.o - n.order) <= step).reduce((m, r) => Math.max(m, r.a), 0), name: n.name, k: k % 3 }));
  return makeFigure({
    title: title ?? `Orders of ${found.name}`, height: 340, notes: found.notes,
    subtitle: `${found.segments} segments of ${found.revolutions} revolutions, ${formatted(found.slowest * 30 / Math.PI)} to ${formatted(found.fastest * 30 / Math.PI)} rpm`,
    caption: `Order spectrum of ${found.name}, largest amplitude ${readable(largest * shown.factor)} ${shown.unit}.`,
    body: {
      layer: [
        { data: { values: rows }, mark: { type: 'line', clip: true }, encoding: { x, y, tooltip: [{ field: 'o', type: 'quantitative', title: 'order' }, { field: 'a', type: 'quantitative', title: y.title }] } },
        ...[0, 1, 2].filter((k) => marks.some((m) => m.k === k)).flatMap((k) => {
          const values = marks.filter((m) => m.k === k);
          return [
            { data: { values }, mark: { type: 'rule', strokeDash: [2, 2], color: alertInk, strokeWidth: 0.9 }, encoding: { x, y, y2: { value: 4 + 14 * k } } },
            { data: { values }, mark: { type: 'text', align: 'left', dx: 4, baseline: 'middle' }, encoding: { x, y: { value: 9 + 14 * k }, text: { field: 'name', type: 'nominal' } } },
          ];
        }),
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
    title: title ?? `Orders of ${found.name} over speed`, height: 360, notes: found.notes, subtitle: `segments of ${found.revolutions} revolutions, in order of time`,
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
