import type { Estimate } from '../spectrum/fitRingDown.js';
import { readable } from './axes.js';
import type { Spec } from './Figure.js';
import { bandFills } from './theme.js';

/** Frequency and damping of a mode with their intervals, in words. */
export function foundText({ frequency: f, dampingRatio: d }: { readonly frequency: Estimate; readonly dampingRatio: Estimate }): string {
  return `${readable(f.value, 4)} Hz (${readable(f.low, 4)} to ${readable(f.high, 4)} Hz), ζ = ${readable(100 * d.value)} % (${readable(100 * d.low)} to ${readable(100 * d.high)} %)`;
}

/** Layers behind a curve over frequency: the interval of a mode shaded, its value as a dashed rule. */
export function foundMode({ value, low, high }: Estimate, x: Spec): Spec[] {
  return [
    { data: { values: [{ low, high }] }, mark: { type: 'rect', color: bandFills.spread, opacity: 0.6, clip: true }, encoding: { x: { ...x, field: 'low' }, x2: { field: 'high' } } },
    { data: { values: [{ f: value }] }, mark: { type: 'rule', strokeDash: [4, 3], strokeWidth: 0.9, clip: true }, encoding: { x: { ...x, field: 'f' } } },
  ];
}
