import { dashes, inks } from './theme.js';
import type { Spec } from './Figure.js';
import { pageWidth } from './page.js';

/** How many names stand beside each other in a legend beneath a figure, a letter taken as seven pixels wide. */
function legendColumns(names: readonly string[]): number {
  return Math.min(names.length, Math.max(1, Math.floor((pageWidth() - 40) / (48 + 7 * Math.max(...names.map((n) => n.length))))));
}

/** Pixels that the rows of a legend after the first add to the height of a figure. */
export function legendHeight(names: readonly string[]): number {
  return names.length < 2 ? 0 : 17 * (Math.ceil(names.length / legendColumns(names)) - 1);
}

/** A legend of lines with these names, wrapped so that none runs off the figure. */
export function lineLegend(names: readonly string[]): Spec {
  return { title: null, symbolType: 'stroke', symbolSize: 480, columns: legendColumns(names), labelLimit: pageWidth() - 100 };
}

/** Colour and dash by the field `series`: each name keeps one of each, so that lines stay apart in grey. One legend for both. */
export function seriesScales(names: readonly string[]): { readonly color: Spec; readonly strokeDash: Spec } {
  const legend = lineLegend(names);
  return {
    color: { field: 'series', type: 'nominal', scale: { domain: names, range: inks.slice(0, names.length) }, legend },
    strokeDash: { field: 'series', type: 'nominal', scale: { domain: names, range: dashes.slice(0, names.length) }, legend },
  };
}
