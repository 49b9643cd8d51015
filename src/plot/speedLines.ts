import type { Spec } from './Figure.js';
import { pageWidth } from './page.js';
import { alertInk, inks } from './theme.js';

/** A line over speed (rpm) with its label. */
export interface SpeedLine {
  readonly label: string;
  readonly points: readonly { readonly n: number; readonly v: number }[];
}

/** The part of a figure that lines over speed are drawn in: ends of both axes, and about how many pixels they are long. */
export interface SpeedFrame {
  readonly x: Spec;
  readonly y: Spec;
  readonly slow: number;
  readonly fast: number;
  readonly low: number;
  readonly high: number;
}

/** A little less than the plotting area has, so that what has room by this measure has room on the page. */
const size = { get width() { return pageWidth() - 180; }, height: 250 };

/** Where a point lies, in pixels from the lower left corner. */
function pixels({ slow, fast, low, high }: SpeedFrame, { n, v }: { readonly n: number; readonly v: number }): { readonly left: number; readonly up: number } {
  return { left: (size.width * (n - slow)) / (fast - slow), up: (size.height * (v - low)) / (high - low) };
}

interface Tick { readonly at: number; readonly label: string }

/** Two labels in one; what both share is said once. */
function joined(a: string, b: string): string {
  if (a.endsWith(' Hz') && b.endsWith(' Hz') && !a.includes('order')) return `${a.slice(0, -3)}, ${b}`;
  return `${a}, ${a.startsWith('order ') && !a.endsWith(' Hz') ? b.replace('order ', '') : b}`;
}

/** Neighbours whose labels would overlap get one label between them, which names both. */
function joinClose(ticks: readonly (Tick & { readonly pixel: number })[], room: (label: string) => number): Tick[] {
  const groups: { at: number; pixel: number; label: string }[] = [];
  for (const tick of [...ticks].sort((a, b) => a.pixel - b.pixel)) {
    const last = groups.at(-1);
    if (last && tick.pixel - last.pixel < (room(last.label) + room(tick.label)) / 2) groups[groups.length - 1] = { ...last, label: joined(last.label, tick.label) };
    else groups.push({ ...tick });
  }
  return groups;
}

/** Axes at the top and the right edge that name the lines where they leave the frame. Their layer needs axes of its own (`resolve`). */
export function edgeAxes(lines: readonly SpeedLine[], frame: SpeedFrame): Spec[] {
  const ends = lines.map(({ label, points }) => {
    const [first, last] = [points[0]!, points.at(-1)!];
    return { label, ...(last.v < first.v && last.n < frame.fast ? first : last) };
  }).map((end) => ({ ...end, ...pixels(frame, end) }));
  const isTop = (end: { readonly left: number }): boolean => end.left < size.width - 2;
  const top = joinClose(ends.filter(isTop).map((e) => ({ at: e.n, pixel: e.left, label: e.label.replace(/^order /, '') })), (label) => 8 + 7 * label.length);
  const right = joinClose(ends.filter((e) => !isTop(e)).map((e) => ({ at: e.v, pixel: e.up, label: e.label })), () => 13);
  const axis = (ticks: readonly Tick[], orient: string, title: string | null): Spec => ({
    orient, title, grid: false, values: ticks.map((t) => t.at), labelExpr: `${JSON.stringify(Object.fromEntries(ticks.map((t) => [String(t.at), t.label])))}[toString(datum.value)]`, labelOverlap: false, labelLimit: 190,
  });
  const mark = { type: 'point', opacity: 0 };
  return [
    ...(top.length === 0 ? [] : [{ data: { values: top }, mark, encoding: { x: { ...frame.x, field: 'at', axis: axis(top, 'top', top.some((t) => t.label.endsWith('Hz')) ? null : 'Order') } } }]),
    ...(right.length === 0 ? [] : [{ data: { values: right }, mark, encoding: { y: { ...frame.y, field: 'at', axis: axis(right, 'right', null) } } }]),
  ];
}

interface Box { readonly left: number; readonly right: number; readonly down: number; readonly up: number }
const clear = (a: Box, b: Box): boolean => a.right <= b.left || b.right <= a.left || a.up <= b.down || b.up <= a.down;
const around = (left: number, up: number, half: number): Box => ({ left: left - half, right: left + half, down: up - half, up: up + half });

/** Where a label may stand by its point, the likeliest first: alignment, pixels to the right and downwards. */
const places = [['left', 9, 11], ['left', 9, -11], ['right', -9, 11], ['right', -9, -11], ['center', 0, 19], ['center', 0, -19], ['left', 9, 25], ['left', 9, -25]] as const;

/** A label with the place that was found for it. */
export interface Placed { readonly n: number; readonly v: number; readonly label: string; readonly align: string; readonly dx: number; readonly dy: number }

/** Finds room for labels by their points, in the order given: where every place is taken by a point, the running speed or an earlier label, a label is left out. */
export function placeLabels(points: readonly { readonly n: number; readonly v: number; readonly label: string }[], running: number, frame: SpeedFrame): Placed[] {
  const at = pixels(frame, { n: running, v: frame.low }).left;
  const taken: Box[] = [...points.map((p) => pixels(frame, p)).map(({ left, up }) => around(left, up, 7)), { left: at - 3, right: at + 3, down: 0, up: size.height }];
  const found: Placed[] = [];
  for (const point of points) {
    const { left, up } = pixels(frame, point);
    const width = 7 * point.label.length;
    for (const [align, dx, dy] of places) {
      const begin = left + dx - (align === 'left' ? 0 : align === 'right' ? width : width / 2);
      const box = { left: begin, right: begin + width, down: up - dy - 6, up: up - dy + 6 };
      if (box.left < 0 || box.right > size.width || box.down < 0 || box.up > size.height || !taken.every((other) => clear(box, other))) continue;
      taken.push(box);
      found.push({ ...point, align, dx, dy });
      break;
    }
  }
  return found;
}

/** Texts with a white rim, so that they stay legible over lines and fields. */
export function haloText(rows: readonly Placed[], { x, y }: SpeedFrame): Spec[] {
  const encoding = { x: { ...x, field: 'n' }, y: { ...y, field: 'v' }, text: { field: 'label', type: 'nominal' } };
  const mark = { type: 'text', baseline: 'middle', align: { expr: 'datum.align' }, dx: { expr: 'datum.dx' }, dy: { expr: 'datum.dy' } };
  return [
    { data: { values: rows }, mark: { ...mark, stroke: '#ffffff', strokeWidth: 3, strokeJoin: 'round' }, encoding },
    { data: { values: rows }, mark, encoding },
  ];
}

/** A line on a white rim, so that it stays visible over dark fields, in grey too. */
export function haloLine({ points }: SpeedLine, { x, y }: SpeedFrame, dash: readonly number[], ink: string): Spec[] {
  const encoding = { x: { ...x, field: 'n' }, y: { ...y, field: 'v' } };
  return [
    { data: { values: points }, mark: { type: 'line', clip: true, color: '#ffffff', strokeWidth: 3, opacity: 0.7 }, encoding },
    { data: { values: points }, mark: { type: 'line', clip: true, strokeDash: dash, color: ink, strokeWidth: 1.4 }, encoding },
  ];
}

/** Points at crossings, and a rule at the running speed. */
export function crossingLayers(points: readonly { readonly n: number; readonly v: number }[], running: number | null, { x, y }: SpeedFrame): Spec[] {
  const ring = (color: string, strokeWidth: number): Spec => ({ data: { values: points }, mark: { type: 'point', filled: false, shape: 'circle', size: 90, strokeWidth, color, opacity: 1 }, encoding: { x: { ...x, field: 'n' }, y: { ...y, field: 'v' } } });
  return [
    ...(running === null ? [] : [{ data: { values: [{ n: running }] }, mark: { type: 'rule', color: inks[1], strokeWidth: 1.6 }, encoding: { x: { ...x, field: 'n' } } }]),
    ...(points.length === 0 ? [] : [ring('#ffffff', 4), ring(alertInk, 1.8)]),
  ];
}
