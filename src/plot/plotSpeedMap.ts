import type { SpeedCrossings } from '../spectrum/speedCrossings.js';
import type { SpeedMap } from '../spectrum/speedMap.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, formatted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { GridMaker, heatLayer } from './heat.js';
import { crossingLayers, edgeAxes, haloLine, type SpeedFrame, type SpeedLine } from './speedLines.js';
import { alertInk } from './theme.js';

/** Options of plotSpeedMap. */
export interface SpeedMapFigureOptions {
  /** Orders to draw as lines, cycles a revolution, at most ten. */
  readonly orders?: readonly number[];
  /** Natural frequencies to draw as lines, Hz, at most ten. */
  readonly frequencies?: readonly number[];
  /** Crossings to mark, from speedCrossings; its running speed is marked too. */
  readonly crossings?: SpeedCrossings;
  /** Frequencies or orders to draw; all of them unless given. */
  readonly from?: number;
  readonly to?: number;
  readonly title?: string;
}

const where = 'plotSpeedMap';
const perMinute = 30 / Math.PI;

/**
 * Draws spectra over speed as a map, the darker the stronger, in classes of equal ratio: frequency against speed with the orders as rays, or order against speed with the natural
 * frequencies as falling curves.
 *
 * @param map from speedMap
 * @param options orders, frequencies and crossings to draw over it; from, to: part of the vertical axis; title
 * @returns the figure
 * @throws InputError for something that is no speed map, a part outside it, or more than ten lines
 * @see plotCrossings, plotOrders
 * @example
 * const turn = (i) => 2 * Math.PI * (5 * (i / 1000) + (i / 1000) ** 2);
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 8000 }, (_, i) => 3 * Math.cos(2 * turn(i)) + Math.cos(0.16 * Math.PI * i)) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 8000 }, (_, i) => 2 * Math.PI * (5 + 2 * (i / 1000))) });
 * const map = speedMap(torque, { axis: 'order', speed, classWidth: rpm(60), revolutions: 4, samplesPerRevolution: 64 });
 * toSvg(plotSpeedMap(map, { frequencies: [80] })).includes('Order (cycles a revolution)') // => true
 */
export function plotSpeedMap(map: SpeedMap, options?: SpeedMapFigureOptions): Figure {
  const { orders = [], frequencies = [], crossings, from = 0, to, title } = checkOptions(where, options, { optional: ['orders', 'frequencies', 'crossings', 'from', 'to', 'title'] });
  if (kindOf(map) !== 'SpeedMap') throw new InputError({ where, argument: 'map', expected: 'a SpeedMap', given: show(map), remedy: 'Make it with speedMap.' });
  if (crossings !== undefined && kindOf(crossings) !== 'SpeedCrossings') throw new InputError({ where, argument: 'crossings', expected: 'SpeedCrossings', given: show(crossings), remedy: 'Make them with speedCrossings.' });
  if (orders.length > 10 || frequencies.length > 10) throw new InputError({ where, argument: 'orders and frequencies', expected: 'at most ten of each', given: `${orders.length} and ${frequencies.length}` });
  const last = map.along.at(-1)!;
  checkNumber(where, 'from', from, { min: 0, below: last });
  const high = checkNumber(where, 'to', to ?? last, { above: from, max: last });
  const half = map.classWidth / 2;
  const [slow, fast] = [(map.speed[0]! - half) * perMinute, (map.speed.at(-1)! + half) * perMinute];
  const shown = shownIn(map.of, map.amplitude.reduce((m, a) => a.reduce((n, v) => Math.max(n, v), m), 0));
  const lines = map.along.filter((v) => v >= from && v <= high).length;
  const maker = new GridMaker([slow, fast], Math.max(1, Math.min(140, Math.round((fast - slow) / (map.classWidth * perMinute)))), [from, high], Math.max(1, Math.min(90, lines)));
  map.amplitude.forEach((spectrum, k) => {
    const n = map.speed[k]! * perMinute;
    spectrum.forEach((v, i) => { if (map.along[i]! >= from && map.along[i]! <= high) maker.put(n - half * perMinute, n + half * perMinute, map.along[i]!, v * shown.factor); });
  });
  const x = { type: 'quantitative', title: 'Speed / rpm', scale: { domain: [slow, fast], nice: false }, axis: { grid: false } };
  const y = { type: 'quantitative', title: map.axis === 'frequency' ? 'Frequency / Hz' : 'Order (cycles a revolution)', scale: { domain: [from, high], nice: false }, axis: { grid: false } };
  const frame: SpeedFrame = { x, y, slow, fast, low: from, high };
  const over = linesOver(map.axis, orders, frequencies, slow, fast, from, high);
  const points = crossings ? crossings.crossings.map((c) => ({ n: c.speed * perMinute, v: map.axis === 'frequency' ? c.frequency : c.order })).filter((p) => p.n >= slow && p.n <= fast && p.v >= from && p.v <= high) : [];
  const what = axisTitle(`${shown.title.split(' /')[0]!}, ${map.kind}`, shown.unit);
  return makeFigure({
    title: title ?? `${map.axis === 'frequency' ? 'Frequencies' : 'Orders'} of ${map.name} over speed`, height: 420, notes: map.notes,
    subtitle: `classes of ${readable(map.classWidth * perMinute)} rpm, ${formatted(map.segments.reduce((a, b) => a + b, 0))} segments; speed changes by at most ${readable(map.speedChange * perMinute, 2)} rpm within one`,
    caption: `${what} of ${map.name} over speed; darker is stronger, white is not known or below the lowest class${over.length > 0 ? `; lines: ${over.map((l) => l.label).join(', ')}` : ''}.`,
    body: {
      layer: [
        { layer: [heatLayer(maker.grid(), x, y, what), ...over.flatMap((line) => haloLine(line, frame, line.label.endsWith('Hz') ? [7, 3] : [2, 2], alertInk)), ...crossingLayers(points, crossings ? crossings.running * perMinute : null, frame)] },
        ...edgeAxes(over, frame),
      ],
      resolve: { axis: { x: 'independent', y: 'independent' } },
    },
  });
}

/** Rays and levels of a frequency map, levels and falling curves of an order map, cut to the axes. */
function linesOver(axis: SpeedMap['axis'], orders: readonly number[], frequencies: readonly number[], slow: number, fast: number, low: number, high: number): SpeedLine[] {
  const of = (label: string, at: (n: number) => number): SpeedLine => ({
    label, points: Array.from({ length: 201 }, (_, i) => slow + ((fast - slow) * i) / 200).map((n) => ({ n, v: at(n) })).filter((p) => p.v >= low && p.v <= high),
  });
  const list = axis === 'frequency'
    ? [...orders.map((k) => of(`order ${formatted(k)}`, (n) => (k * n) / 60)), ...frequencies.map((f) => of(`${readable(f)} Hz`, () => f))]
    : [...orders.map((k) => of(`order ${formatted(k)}`, () => k)), ...frequencies.map((f) => of(`${readable(f)} Hz`, (n) => (60 * f) / n))];
  return list.filter((line) => line.points.length > 1);
}
