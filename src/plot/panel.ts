import { validRuns, type Channel } from '../record/Channel.js';
import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { coveredSamples, sliceSpans, type Run, type Span } from '../record/span.js';
import { readable, shownIn, type Shown } from './axes.js';
import { bandLayers, type Band } from './bands.js';
import type { Spec } from './Figure.js';
import { panelPixels } from './page.js';
import { seriesScales } from './series.js';
import { thin } from './thin.js';

/** The part of a channel that a panel draws. */
export interface Drawable {
  readonly channel: Channel;
  readonly from: number;
  readonly to: number;
  readonly runs: readonly Run[];
  readonly spans: readonly Span[];
  readonly lost: number;
  readonly thinned: boolean;
}

/** The part of a channel inside a window (all of it for null), with its spans and further ones to shade. */
export function drawable(where: string, channel: Channel, window: TimeWindow | null, extra: readonly Span[] = []): Drawable {
  const n = channel.values.length;
  const { from, to } = window ? windowToSamples(where, channel, window) : { from: 0, to: n };
  const clip = (list: readonly Run[]): Run[] => list.filter((r) => r.to > from && r.from < to).map((r) => ({ from: Math.max(from, r.from), to: Math.min(to, r.to) }));
  const spans = [...channel.invalid, ...extra];
  if (extra.some((s) => !(s.to <= n))) throw new InputError({ where, argument: 'faults', expected: `within the ${n} samples of ${channel.name}`, given: show(extra) });
  return { channel, from, to, runs: clip(validRuns(channel)), spans: sliceSpans(spans, from, to).map((s) => ({ ...s, from: s.from + from, to: s.to + from })), lost: coveredSamples(clip(channel.invalid)), thinned: to - from > 2 * panelPixels() };
}

/** How much of it is masked and why, or nothing. */
export function maskSentence({ channel, lost, from, to, spans }: Drawable): string {
  if (spans.length === 0) return '';
  const reasons = [...new Set(spans.map((s) => s.why))].join(', ');
  return `${channel.name}: ${readable((100 * lost) / (to - from), 2)} % masked (${reasons})`;
}

/** What the panels of one figure share, and what this one adds. */
export interface PanelFrame {
  readonly window: TimeWindow;
  readonly axis: { readonly unit: string; readonly seconds: number };
  readonly rest: readonly TimeWindow[];
  readonly time: string;
  readonly last: boolean;
  readonly height: number;
  /** Name of the quantity instead of its own. */
  readonly what?: string;
  /** A size that the unit shown must suit besides the values drawn. */
  readonly largest?: number;
  readonly extra?: (x: Spec, shown: Shown) => readonly Spec[];
}

/** A panel of channels of one unit against time, with bands behind and further layers on top; `extra` gets the horizontal channel and the unit shown. */
export function panelSpec(drawn: readonly Drawable[], { window, axis, rest, time, last, height, what, largest: least = 0, extra }: PanelFrame): Spec {
  const largest = Math.max(...drawn.flatMap(({ channel, runs }) => runs.map((r) => largestOf(channel.values, r))), least);
  const shown = shownIn(drawn[0]!.channel.unit, largest, what);
  const names = drawn.map((d) => d.channel.name);
  const bands: Band[] = [
    ...rest.map((w): Band => ({ from: w.from / axis.seconds, to: w.to / axis.seconds, kind: 'rest window' })),
    ...drawn.flatMap(({ channel, spans }) => spans.map((s): Band => ({ from: s.from / channel.sampleRate / axis.seconds, to: s.to / channel.sampleRate / axis.seconds, kind: 'masked' }))),
  ].filter((b) => b.to >= window.from / axis.seconds && b.from <= window.to / axis.seconds);
  const data = drawn.flatMap((d) => rows(d, shown, axis.seconds));
  const alone = data.filter((row, i) => row.piece !== data[i - 1]?.piece && row.piece !== data[i + 1]?.piece);
  const y = { field: 'y', type: 'quantitative', title: shown.title, scale: verticalScale(data.map((row) => row.y)) };
  const x = { field: 't', type: 'quantitative', title: last ? time : null, scale: { domain: [window.from / axis.seconds, window.to / axis.seconds], nice: false }, axis: { grid: false, ...(last ? {} : { labels: false }) } };
  return {
    height, width: panelPixels(),
    layer: [
      ...bandLayers(bands, x, window.from / axis.seconds, window.to / axis.seconds),
      {
        data: { values: data },
        mark: { type: 'line', clip: true },
        encoding: {
          x, y,
          detail: { field: 'piece', type: 'nominal' },
          ...(names.length > 1 ? seriesScales(names) : {}),
          tooltip: [{ field: 't', type: 'quantitative', title: time }, { field: 'y', type: 'quantitative', title: shown.title }, ...(names.length > 1 ? [{ field: 'series', type: 'nominal', title: 'channel' }] : [])],
        },
        params: [{ name: 'zoom', select: { type: 'interval', encodings: ['x'] }, bind: 'scales' }],
      },
      ...(alone.length > 0 ? [{ data: { values: alone }, mark: { type: 'point', size: 26, clip: true }, encoding: { x, y, ...(names.length > 1 ? { color: seriesScales(names).color } : {}) } }] : []),
      ...(extra ? extra(x, shown) : []),
    ],
  };
}

interface Row { readonly t: number; readonly y: number; readonly piece: string; readonly series: string }

/** A few pixels of air above and below; values that never change get an axis about them. */
export function verticalScale(values: readonly number[]): Spec {
  const first = values[0] ?? 0;
  const air = Math.abs(first) * 0.1 || 1;
  return values.every((v) => v === first) ? { domain: [first - air, first + air], nice: false } : { zero: false, nice: false, padding: 7 };
}

function rows({ channel, runs, from, to }: Drawable, shown: Shown, seconds: number): Row[] {
  const { index, piece } = thin(channel.values, runs, from, to, panelPixels());
  return Array.from(index, (i, k) => ({ t: i / channel.sampleRate / seconds, y: channel.values[i]! * shown.factor + shown.offset, piece: `${channel.name} ${piece[k]!}`, series: channel.name }));
}

/** The largest size in a run. */
export function largestOf(values: Float64Array, { from, to }: Run): number {
  let largest = 0;
  for (let i = from; i < to; i++) if (Math.abs(values[i]!) > largest) largest = Math.abs(values[i]!);
  return largest;
}
