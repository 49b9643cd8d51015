import { checkChannel, duration, formatSeconds, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import type { Span } from '../record/span.js';
import { quantityOf } from '../record/units.js';
import { grouped, timeTitle, timeUnit } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { drawable, maskSentence, panelSpec } from './panel.js';
import { legendHeight } from './series.js';

/** Options of plotHistory. Times are seconds from the first sample. */
export interface HistoryOptions {
  /** Windows at rest (no torque), drawn as bands with a dashed edge. */
  readonly rest?: readonly TimeWindow[];
  /** Spans found faulty but not masked, drawn as masked ones are; of the channel that they were found in. */
  readonly faults?: readonly Span[];
  /** First second to draw; the start of the record unless given. */
  readonly from?: number;
  /** Last second to draw; the end of the record unless given. */
  readonly to?: number;
  readonly title?: string;
}

const where = 'plotHistory';

/**
 * Draws one or more channels against time. Long signals are thinned to the least and greatest sample of every pixel, so that no peak is
 * lost; masked spans are shaded and no line crosses them; channels of one quantity share a panel, others are stacked above one time axis.
 *
 * @param channels one channel or several (at most six of one quantity); they must start at the same instant where their starts are known
 * @param options rest: windows to mark, s; faults: spans of the first channel to shade; from, to: part to draw, s; title
 * @returns the figure
 * @throws InputError for no channel, more than six in a panel, different starts, or a window outside the record
 * @see toSvg
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 0, 900, 950, NaN, 940] });
 * plotHistory(torque, { rest: [{ from: 0, to: 0.2 }] }).title // => "torque"
 */
export function plotHistory(channels: Channel | readonly Channel[], options?: HistoryOptions): Figure {
  const { rest = [], faults = [], from, to, title } = checkOptions(where, options, { optional: ['rest', 'faults', 'from', 'to', 'title'] });
  const list = (Array.isArray(channels) ? channels : [channels]) as readonly Channel[];
  if (list.length === 0) throw new InputError({ where, argument: 'channels', expected: 'one channel or more', given: 'none' });
  list.forEach((channel) => checkChannel(where, channel));
  const starts = new Set(list.map((c) => c.start).filter((s) => s !== null));
  if (starts.size > 1) throw new InputError({ where, argument: 'channels', expected: 'of one start', given: [...starts].join(' and '), remedy: 'Bring them to one clock with alignChannels, or slice them to a common start.' });
  const window = { from: from ?? 0, to: to ?? Math.max(...list.map(duration)) };
  const axis = timeUnit(window.to - window.from);
  const panels = groupByQuantity(list);
  const drawn = list.map((channel, k) => drawable(where, channel, from === undefined && to === undefined ? null : window, k === 0 ? faults : []));
  for (const [k, w] of rest.entries()) windowToSamples(where, list[0]!, w, `rest[${k}]`);
  const start = [...starts][0] ?? null;
  const common = { window, axis, rest, time: timeTitle(axis.unit, start) };
  const specs = panels.map((panel, k) => panelSpec(panel.map((c) => drawn[list.indexOf(c)]!), { ...common, last: k === panels.length - 1, height: panels.length === 1 ? 250 : 170 }));
  const masked = drawn.map((d) => maskSentence(d)).filter((s) => s !== '');
  const joined = list.map((c) => c.name).join(', ');
  const name = title ?? (list.length > 1 && joined.length > 120 ? `${list.length} channels` : joined);
  const height = panels.length === 1 ? 360 + legendHeight(list.map((c) => c.name)) : 110 + 205 * panels.length;
  const thinned = drawn.filter((d) => d.thinned).map((d) => `${d.channel.name}: ${grouped(d.to - d.from)} samples drawn as the extremes of ${panelPixels()} equal parts`);
  return makeFigure({
    title: name, subtitle: masked.join('; '), width: pageWidth(), height,
    caption: `${name} over ${formatSeconds(window.to - window.from)}${masked.length > 0 ? `; ${masked.join('; ')}` : ''}${rest.length > 0 ? `; ${rest.length} rest window${rest.length > 1 ? 's' : ''} marked` : ''}.`,
    notes: thinned,
    body: specs.length === 1 ? { ...specs[0], width: pageWidth(), height, autosize: { type: 'fit', contains: 'padding' } } : { vconcat: specs, spacing: 12, resolve: { scale: { x: 'shared' } } },
  });
}

function groupByQuantity(channels: readonly Channel[]): Channel[][] {
  const panels: Channel[][] = [];
  for (const channel of channels) {
    const panel = panels.find((p) => p[0]!.unit === channel.unit && quantityOf(p[0]!.unit) !== 'number' && p[0]!.unit !== '?');
    if (panel) panel.push(channel);
    else panels.push([channel]);
  }
  const full = panels.find((p) => p.length > 6);
  if (full) throw new InputError({ where, argument: 'channels', expected: 'at most six of one unit, or the lines cannot be told apart', given: `${full.length} in ${full[0]!.unit}` });
  return panels;
}
