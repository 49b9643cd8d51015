import type { Spec } from './Figure.js';

/** The font of every figure (the package dejavu-fonts-ttf ships it), with stand-ins of like widths for browsers. */
export const fontFamily = 'DejaVu Sans, Verdana, sans-serif';

/** Colours of series: apart for colour-blind readers, and of falling darkness so that they stay apart in grey. */
export const inks: readonly string[] = Object.freeze(['#16385c', '#c2511b', '#3d9a8b', '#7b4a86', '#c39a2c', '#6f7782']);

/** Dashes that go with the inks, so that colour is never the only difference. */
export const dashes: readonly (readonly number[])[] = Object.freeze([[1, 0], [7, 3], [2, 2], [9, 3, 2, 3], [4, 4], [12, 3]]);

/** Point shapes that go with the inks. */
export const shapes: readonly string[] = Object.freeze(['circle', 'triangle-up', 'square', 'diamond', 'cross', 'triangle-down']);

/** Fills of bands behind a signal, and the ink of marks that warn. */
export const bandFills: { readonly masked: string; readonly rest: string; readonly spread: string } = Object.freeze({ masked: '#e0c4b2', rest: '#dcebf2', spread: '#a9bfd3' });

/** Fills of a scale from few to many: light to dark, so that it reads in grey. */
export const ramp: readonly string[] = Object.freeze(['#d6e3ea', '#7fa8b8', '#3a6f8f', '#16385c', '#0b1b30']);

/** Ink of limits and warnings. */
export const alertInk = '#a31621';

const ink = '#22282f';
const faint = '#8b929b';
const narrowSpace = '\u202f';

/** The one theme of all figures: white ground, thin frame, open grid, numbers with narrow spaces between thousands. */
export const theme: Spec = Object.freeze({
  font: fontFamily,
  background: '#ffffff',
  padding: 10,
  locale: { number: { decimal: '.', thousands: narrowSpace, grouping: [3], currency: ['', ''] } },
  title: { anchor: 'start', frame: 'group', fontSize: 14, fontWeight: 'bold', color: ink, offset: 12, subtitleFontSize: 11, subtitleColor: '#4a525c', subtitlePadding: 5 },
  view: { stroke: faint, strokeWidth: 0.8, continuousWidth: 560, continuousHeight: 260 },
  axis: {
    labelFontSize: 11, titleFontSize: 12, titleFontWeight: 'normal', labelColor: ink, titleColor: ink, titlePadding: 8, labelPadding: 4,
    domainColor: faint, domainWidth: 0.8, tickColor: faint, tickSize: 5, gridColor: '#e3e6ea', gridWidth: 0.7, labelOverlap: 'greedy', labelFlush: false,
  },
  axisX: { tickCount: 10 },
  axisY: { minExtent: 34 },
  legend: { orient: 'bottom', direction: 'horizontal', labelFontSize: 11, titleFontSize: 11, titleFontWeight: 'normal', labelColor: ink, titleColor: ink, labelLimit: 420, titleLimit: 420, symbolSize: 130, symbolStrokeWidth: 1.6, columnPadding: 18, offset: 10, padding: 0 },
  line: { strokeWidth: 1.2, strokeCap: 'round', strokeJoin: 'round', color: inks[0] },
  point: { filled: true, size: 42, color: inks[0] },
  bar: { color: inks[0] },
  rule: { color: ink },
  text: { fontSize: 11, color: ink },
  range: { category: inks },
});
