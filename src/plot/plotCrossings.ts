import type { SpeedCrossings } from '../spectrum/speedCrossings.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { formatted, readable } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { crossingLayers, edgeAxes, haloLine, haloText, placeLabels, type SpeedFrame } from './speedLines.js';
import { dashes, inks } from './theme.js';

/** Options of plotCrossings. Speeds in rad/s: rpm(1800) is 1800 rpm. */
export interface CrossingsOptions {
  readonly from?: number;
  readonly to?: number;
  readonly title?: string;
}

const where = 'plotCrossings';
const perMinute = 30 / Math.PI;

/**
 * Draws where orders meet natural frequencies: frequency against speed, orders as rays, natural frequencies as levels, both named where they leave the frame; every crossing as a
 * circle with its distance from the running speed, as far as the labels have room, the nearest first.
 *
 * @param crossings from speedCrossings
 * @param options from, to: speeds to draw, rad/s; title
 * @returns the figure
 * @throws InputError for something else, or no crossing at all
 * @see plotSpeedMap
 * @example
 * const found = speedCrossings({ frequencies: [24], damping: 0.02, orders: [1, 2], from: rpm(300), to: rpm(1800), running: rpm(990) });
 * toSvg(plotCrossings(found)).includes('Frequency / Hz') // => true
 */
export function plotCrossings(crossings: SpeedCrossings, options?: CrossingsOptions): Figure {
  const { from, to, title = 'Orders and natural frequencies over speed' } = checkOptions(where, options, { optional: ['from', 'to', 'title'] });
  if (kindOf(crossings) !== 'SpeedCrossings') throw new InputError({ where, argument: 'crossings', expected: 'SpeedCrossings', given: show(crossings), remedy: 'Make them with speedCrossings.' });
  const list = crossings.crossings;
  if (list.length === 0) throw new InputError({ where, argument: 'crossings', expected: 'at least one crossing', given: 'none', remedy: 'No order meets a natural frequency in that range: say so in words.' });
  const all = [...list.map((c) => c.speed), crossings.running].map((w) => w * perMinute);
  const low = from === undefined ? 0 : checkNumber(where, 'from', from, { min: 0, unit: 'rad/s' }) * perMinute;
  const high = to === undefined ? 1.15 * Math.max(...all) : checkNumber(where, 'to', to, { above: low / perMinute, unit: 'rad/s' }) * perMinute;
  const top = 1.25 * Math.max(...list.map((c) => c.frequency));
  const running = crossings.running * perMinute;
  const frame: SpeedFrame = {
    x: { type: 'quantitative', title: 'Speed / rpm', scale: { domain: [low, high], nice: false } },
    y: { type: 'quantitative', title: 'Frequency / Hz', scale: { domain: [0, top], nice: false } },
    slow: low, fast: high, low: 0, high: top,
  };
  const rays = [...new Set(list.map((c) => c.order))].sort((a, b) => a - b).map((k) => {
    const end = Math.min(high, (60 * top) / k);
    return { label: `order ${formatted(k)}`, points: [{ n: low, v: (k * low) / 60 }, { n: end, v: (k * end) / 60 }] };
  }).filter((r) => r.points[1]!.n > low);
  const levels = [...new Set(list.map((c) => c.frequency))].map((f) => ({ label: `${readable(f)} Hz`, points: [{ n: low, v: f }, { n: high, v: f }] }));
  const marks = list.map((c) => ({ n: c.speed * perMinute, v: c.frequency, label: `${c.margin < 0 ? '−' : '+'}${readable(Math.abs(100 * c.margin), 2)} %, ×${readable(c.amplification, 2)}` })).filter((m) => m.n >= low && m.n <= high);
  const labels = placeLabels(marks, running, frame);
  const bare = marks.length - labels.length;
  const nearest = list[0]!;
  return makeFigure({
    title, height: 420, notes: [...crossings.notes, ...(bare === 0 ? [] : [`${bare} of ${marks.length} crossings have no room for a label; those nearest to the running speed have theirs`])],
    subtitle: `running at ${formatted(running)} rpm; at each crossing${bare === 0 ? '' : ' that has room for it'}: its distance from the running speed, and the amplification that the mode has at the running speed`,
    caption: `Crossings of orders and natural frequencies; the nearest to the running speed of ${formatted(running)} rpm is order ${formatted(nearest.order)} with ${readable(nearest.frequency)} Hz at ${formatted(Math.round(nearest.speed * perMinute))} rpm (${readable(100 * nearest.margin, 2)} %).`,
    body: {
      layer: [
        {
          layer: [
            ...levels.flatMap((level) => haloLine(level, frame, dashes[1]!, inks[2]!)),
            ...rays.flatMap((ray) => haloLine(ray, frame, dashes[0]!, inks[0]!)),
            ...crossingLayers(marks, running, frame),
            ...haloText(labels, frame),
          ],
        },
        ...edgeAxes([...levels, ...rays], frame),
      ],
      resolve: { axis: { x: 'independent', y: 'independent' } },
    },
  });
}
