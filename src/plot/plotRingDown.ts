import type { RingDown } from '../spectrum/fitRingDown.js';
import { checkChannel, formatSeconds, type Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { formatted, readable, timeTitle, timeUnit, type Shown } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { isNarrow, pageWidth } from './page.js';
import { drawable, panelSpec } from './panel.js';
import { dashes, inks } from './theme.js';

/** Options of plotRingDown. */
export interface RingDownFigureOptions {
  readonly title?: string;
}

const where = 'plotRingDown';

/**
 * Draws a ring-down: the channel over the fitted window, and for every mode the two curves ± A·e^(−ζω₀t) about the rest value between which it dies away.
 *
 * @param channel that fitRingDown was given
 * @param fit what it found
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no ring-down, or a channel of another unit
 * @see plotSpectrum
 * @example
 * const ring = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: 1000 }, (_, i) => 900 * Math.exp(-i / 250) * Math.cos(0.3 * i)) });
 * toSvg(plotRingDown(ring, fitRingDown(ring, { from: 0, to: 2 }))).includes('Torque / N·m') // => true
 */
export function plotRingDown(channel: Channel, fit: RingDown, options?: RingDownFigureOptions): Figure {
  const { title } = checkOptions(where, options, { optional: ['title'] });
  checkChannel(where, channel);
  if (kindOf(fit) !== 'RingDown') throw new InputError({ where, argument: 'fit', expected: 'a RingDown', given: show(fit), remedy: 'Make it with fitRingDown.' });
  if (channel.unit !== fit.unit) throw new InputError({ where, argument: `unit of ${channel.name}`, expected: `${fit.unit}, in which the ring-down was fitted`, given: channel.unit });
  const { window } = fit;
  const axis = timeUnit(window.to - window.from);
  const found = fit.modes.map((m) => `${readable(m.frequency.value)} Hz, ζ = ${readable(100 * m.dampingRatio.value)} % (${readable(100 * m.dampingRatio.low)} to ${readable(100 * m.dampingRatio.high)} %)`);
  const named = isNarrow() ? found.map((text) => text.replace(/ \(.*/, '')) : found;
  const envelope = (_: Spec, shown: Shown): Spec[] => [{
    data: { values: fit.modes.flatMap((_mode, k) => curves(fit, k, shown, axis.seconds, named[k]!)) },
    mark: { type: 'line', strokeWidth: 1.5, clip: true },
    encoding: {
      x: { field: 't', type: 'quantitative' }, y: { field: 'y', type: 'quantitative' }, detail: { field: 'side', type: 'nominal' },
      color: { field: 'mode', type: 'nominal', scale: { domain: named, range: inks.slice(1, 1 + named.length) }, legend: { title: null, symbolType: 'stroke', symbolSize: 480, columns: 1 } },
      strokeDash: { field: 'mode', type: 'nominal', scale: { domain: named, range: dashes.slice(1, 1 + named.length) }, legend: { title: null, symbolType: 'stroke', symbolSize: 480, columns: 1 } },
    },
  }];
  const drawn = drawable(where, channel, window);
  const spec = panelSpec([drawn], { window, axis, rest: [], time: timeTitle(axis.unit, channel.start), last: true, height: 250, extra: envelope });
  const height = 350 + 20 * named.length;
  return makeFigure({
    title: title ?? `Ring-down of ${channel.name}`, width: pageWidth(), height, notes: fit.notes,
    subtitle: `${isNarrow() ? `${found.join('; ')}; ` : ''}${fit.modes.length === 1 ? 'one mode' : `${fit.modes.length} modes`}, ${formatted(100 * fit.level)} % intervals, noise left ${readable(fit.noise)} ${fit.unit}`,
    caption: `Ring-down of ${channel.name} over ${formatSeconds(window.to - window.from)}: ${found.join('; ')}.`,
    body: { ...spec, width: pageWidth(), height, autosize: { type: 'fit', contains: 'padding' } },
  });
}

function curves(fit: RingDown, k: number, shown: Shown, seconds: number, mode: string): object[] {
  const { amplitude, frequency, dampingRatio } = fit.modes[k]!;
  const z = dampingRatio.value;
  const decay = (2 * Math.PI * frequency.value * z) / Math.sqrt(1 - z * z);
  const span = fit.window.to - fit.window.from;
  return [1, -1].flatMap((sign) => Array.from({ length: 121 }, (_, i) => {
    const t = (span * i) / 120;
    return { t: (fit.window.from + t) / seconds, y: (fit.rest + fit.drift * (t - span) + sign * amplitude * Math.exp(-decay * t)) * shown.factor + shown.offset, mode, side: `${k} ${sign}` };
  }));
}
