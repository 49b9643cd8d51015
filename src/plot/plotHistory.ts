import { checkChannel, duration, formatSeconds, validRuns, type Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { coveredSamples, sliceSpans, type Run, type Span } from '../record/span.js';
import { quantityOf } from '../record/units.js';
import { grouped, readable, shownIn, timeTitle, timeUnit, type Shown } from './axes.js';
import { bandLayers, type Band } from './bands.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { seriesScales } from './series.js';
import { thin } from './thin.js';

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
const plotPixels = 590;

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
  const drawn = list.map((channel, k) => drawable(channel, window, from !== undefined || to !== undefined, k === 0 ? faults : []));
  for (const [k, w] of rest.entries()) windowToSamples(where, list[0]!, w, `rest[${k}]`);
  const start = [...starts][0] ?? null;
  const common = { window, axis, rest, time: timeTitle(axis.unit, start) };
  const specs = panels.map((panel, k) => panelSpec(panel.map((c) => drawn[list.indexOf(c)]!), { ...common, last: k === panels.length - 1, height: panels.length === 1 ? 250 : 170 }));
  const masked = drawn.map((d) => maskSentence(d)).filter((s) => s !== '');
  const name = title ?? list.map((c) => c.name).join(', ');
  const thinned = drawn.filter((d) => d.thinned).map((d) => `${d.channel.name}: ${grouped(d.to - d.from)} samples drawn as the extremes of ${plotPixels} equal parts`);
  return makeFigure({
    title: name, subtitle: masked.join('; '), width: 680, height: panels.length === 1 ? 360 : 110 + 205 * panels.length,
    caption: `${name} over ${formatSeconds(window.to - window.from)}${masked.length > 0 ? `; ${masked.join('; ')}` : ''}${rest.length > 0 ? `; ${rest.length} rest window${rest.length > 1 ? 's' : ''} marked` : ''}.`,
    notes: thinned,
    body: specs.length === 1 ? { ...specs[0], ...single } : { vconcat: specs, spacing: 12, resolve: { scale: { x: 'shared' } } },
  });
}

const single: Spec = { width: 680, height: 360, autosize: { type: 'fit', contains: 'padding' } };

interface Drawable {
  readonly channel: Channel;
  readonly from: number;
  readonly to: number;
  readonly runs: readonly Run[];
  readonly spans: readonly Span[];
  readonly lost: number;
  readonly thinned: boolean;
}

function drawable(channel: Channel, window: TimeWindow, cut: boolean, extra: readonly Span[]): Drawable {
  const n = channel.values.length;
  const { from, to } = cut ? windowToSamples(where, channel, window) : { from: 0, to: n };
  const clip = (list: readonly Run[]): Run[] => list.filter((r) => r.to > from && r.from < to).map((r) => ({ from: Math.max(from, r.from), to: Math.min(to, r.to) }));
  const spans = [...channel.invalid, ...extra];
  if (extra.some((s) => !(s.to <= n))) throw new InputError({ where, argument: 'faults', expected: `within the ${n} samples of ${channel.name}`, given: show(extra) });
  return { channel, from, to, runs: clip(validRuns(channel)), spans: sliceSpans(spans, from, to).map((s) => ({ ...s, from: s.from + from, to: s.to + from })), lost: coveredSamples(clip(channel.invalid)), thinned: to - from > 2 * plotPixels };
}

function maskSentence({ channel, lost, from, to, spans }: Drawable): string {
  if (spans.length === 0) return '';
  const reasons = [...new Set(spans.map((s) => s.why))].join(', ');
  return `${channel.name}: ${readable((100 * lost) / (to - from), 2)} % masked (${reasons})`;
}

interface PanelFrame {
  readonly window: TimeWindow;
  readonly axis: { readonly unit: string; readonly seconds: number };
  readonly rest: readonly TimeWindow[];
  readonly time: string;
  readonly last: boolean;
  readonly height: number;
}

function panelSpec(drawn: readonly Drawable[], { window, axis, rest, time, last, height }: PanelFrame): Spec {
  const largest = Math.max(...drawn.flatMap(({ channel, runs }) => runs.map((r) => largestOf(channel.values, r))), 0);
  const shown = shownIn(drawn[0]!.channel.unit, largest);
  const names = drawn.map((d) => d.channel.name);
  const bands: Band[] = [
    ...rest.map((w): Band => ({ from: w.from / axis.seconds, to: w.to / axis.seconds, kind: 'rest window' })),
    ...drawn.flatMap(({ channel, spans }) => spans.map((s): Band => ({ from: s.from / channel.sampleRate / axis.seconds, to: s.to / channel.sampleRate / axis.seconds, kind: 'masked' }))),
  ].filter((b) => b.to >= window.from / axis.seconds && b.from <= window.to / axis.seconds);
  const x = { field: 't', type: 'quantitative', title: last ? time : null, scale: { domain: [window.from / axis.seconds, window.to / axis.seconds], nice: false }, axis: { grid: false, ...(last ? {} : { labels: false }) } };
  return {
    height, width: plotPixels,
    layer: [
      ...bandLayers(bands, x, window.from / axis.seconds, window.to / axis.seconds),
      {
        data: { values: drawn.flatMap((d) => rows(d, shown, axis.seconds)) },
        mark: { type: 'line', clip: true },
        encoding: {
          x, y: { field: 'y', type: 'quantitative', title: shown.title, scale: { zero: false } },
          detail: { field: 'piece', type: 'nominal' },
          ...(names.length > 1 ? seriesScales(names) : {}),
          tooltip: [{ field: 't', type: 'quantitative', title: time }, { field: 'y', type: 'quantitative', title: shown.title }, ...(names.length > 1 ? [{ field: 'series', type: 'nominal', title: 'channel' }] : [])],
        },
        params: [{ name: `zoom`, select: { type: 'interval', encodings: ['x'] }, bind: 'scales' }],
      },
    ],
  };
}

function rows({ channel, runs, from, to }: Drawable, shown: Shown, seconds: number): object[] {
  const { index, piece } = thin(channel.values, runs, from, to, plotPixels);
  return Array.from(index, (i, k) => ({ t: i / channel.sampleRate / seconds, y: channel.values[i]! * shown.factor + shown.offset, piece: piece[k]!, series: channel.name }));
}

function largestOf(values: Float64Array, { from, to }: Run): number {
  let largest = 0;
  for (let i = from; i < to; i++) if (Math.abs(values[i]!) > largest) largest = Math.abs(values[i]!);
  return largest;
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
