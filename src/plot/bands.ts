import { bandFills } from './theme.js';
import type { Spec } from './Figure.js';

/** A stretch of the horizontal axis that is shaded, in the units of that axis. */
export interface Band {
  readonly from: number;
  readonly to: number;
  readonly kind: 'masked' | 'rest window';
}

/** A flat box for legends, as large as the strokes beside it. */
export const swatch = 'M-1,-0.55H1V0.55H-1Z';

/**
 * Layers that shade bands behind a signal. Masked stretches are solid and at least a pixel wide, and those that touch on the page are
 * drawn as one; rest windows are pale with dashed edges: the two differ without colour too.
 */
export function bandLayers(bands: readonly Band[], x: Spec, low: number, high: number): Spec[] {
  const kinds = (['masked', 'rest window'] as const).filter((kind) => bands.some((b) => b.kind === kind));
  if (kinds.length === 0) return [];
  const least = (high - low) / 600;
  const drawn = kinds.flatMap((kind) => joined(bands.filter((b) => b.kind === kind), least));
  const fills = kinds.map((kind) => (kind === 'masked' ? bandFills.masked : bandFills.rest));
  const layers: Spec[] = [{
    data: { values: drawn },
    mark: { type: 'rect', clip: true },
    encoding: {
      x: { ...x, field: 'from' }, x2: { field: 'to' },
      fill: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: fills }, legend: { title: null, symbolType: swatch, symbolSize: 480 } },
    },
  }];
  const edges = drawn.filter((b) => b.kind === 'rest window').flatMap((b) => [{ at: b.from }, { at: b.to }]);
  if (edges.length > 0) {
    layers.push({ data: { values: edges }, mark: { type: 'rule', strokeDash: [3, 3], strokeWidth: 0.8, color: '#5d7f91', clip: true }, encoding: { x: { ...x, field: 'at' } } });
  }
  return layers;
}

function joined(bands: readonly Band[], least: number): Band[] {
  const result: Band[] = [];
  for (const band of [...bands].sort((a, b) => a.from - b.from)) {
    const to = Math.max(band.to, band.from + least);
    const last = result.at(-1);
    if (last && band.from <= last.to) result[result.length - 1] = { ...last, to: Math.max(last.to, to) };
    else result.push({ ...band, to });
  }
  return result;
}
