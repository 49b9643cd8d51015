import { dashes, inks } from './theme.js';
import type { Spec } from './Figure.js';

/** Colour and dash by the field `series`: each name keeps one of each, so that lines stay apart in grey. One legend for both. */
export function seriesScales(names: readonly string[]): { readonly color: Spec; readonly strokeDash: Spec } {
  const legend = { title: null, symbolType: 'stroke', symbolSize: 480 };
  return {
    color: { field: 'series', type: 'nominal', scale: { domain: names, range: inks.slice(0, names.length) }, legend },
    strokeDash: { field: 'series', type: 'nominal', scale: { domain: names, range: dashes.slice(0, names.length) }, legend },
  };
}
