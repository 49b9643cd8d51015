import type { Spec } from './Figure.js';
import { alertInk, inks } from './theme.js';

/** A line over speed (rpm) with its label. */
export interface SpeedLine {
  readonly label: string;
  readonly points: readonly { readonly n: number; readonly v: number }[];
}

/** Texts with a white rim, so that they stay legible over lines and fields. */
export function haloText(rows: readonly { readonly n: number; readonly v: number; readonly label: string }[], x: Spec, y: Spec, look: Spec): Spec[] {
  const encoding = { x: { ...x, field: 'n' }, y: { ...y, field: 'v' }, text: { field: 'label', type: 'nominal' } };
  const mark = { type: 'text', fontSize: 10, baseline: 'middle', ...look };
  return [
    { data: { values: rows }, mark: { ...mark, stroke: '#ffffff', strokeWidth: 3, strokeJoin: 'round' }, encoding },
    { data: { values: rows }, mark, encoding },
  ];
}

/** Points at crossings, and a rule at the running speed. */
export function crossingLayers(points: readonly { readonly n: number; readonly v: number }[], running: number | null, x: Spec, y: Spec): Spec[] {
  return [
    ...(running === null ? [] : [{ data: { values: [{ n: running }] }, mark: { type: 'rule', color: inks[1], strokeWidth: 1.6 }, encoding: { x: { ...x, field: 'n' } } }]),
    ...(points.length === 0 ? [] : [{ data: { values: points }, mark: { type: 'point', filled: false, shape: 'circle', size: 90, strokeWidth: 1.8, color: alertInk, opacity: 1 }, encoding: { x: { ...x, field: 'n' }, y: { ...y, field: 'v' } } }]),
  ];
}
