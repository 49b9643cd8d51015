import type { DutyMix, DutyPart } from '../fatigue/dutyMix.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { formatted, grouped, readable } from './axes.js';
import { swatch } from './bands.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { isNarrow, namedPixels, pageWidth } from './page.js';
import { bandFills, inks } from './theme.js';

/** Options of plotDuty. */
export interface DutyFigureOptions {
  readonly title?: string;
}

const where = 'plotDuty';
const kinds = ['share of the damage', 'share of the hours'] as const;

/**
 * Draws what the parts of a duty do to the shaft beside how long they last: for each part its share of the damage and, where it goes by the hour, its share of the hours. A state that does much damage in few
 * hours shows at once. What goes by the piece has no hours; how many of it a year has is written instead.
 *
 * @param mix from dutyMix
 * @param options title
 * @returns the figure, the part that does most damage first
 * @throws InputError for something that is no mix
 * @see dutyMix, plotDamage
 * @example
 * const curve = curveLibrary.en1993Shear(100);
 * const of = (range, count, hours) => damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(range)], count: [count], hours }), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve, meanStress: 'none', residue: 'half' });
 * const mix = dutyMix([{ name: 'full load', damage: of(100, 200, 1), hours: 1000 }, { name: 'part load', damage: of(80, 200, 1), hours: 3000 }]);
 * toSvg(plotDuty(mix)).includes('25 %: 1\u202f000 h') // => true
 */
export function plotDuty(mix: DutyMix, options?: DutyFigureOptions): Figure {
  const { title = 'Damage and hours of the duty' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(mix) !== 'DutyMix') throw new InputError({ where, argument: 'mix', expected: 'a DutyMix', given: show(mix), remedy: 'Make it with dutyMix.' });
  const narrow = isNarrow();
  const rows = mix.parts.flatMap((part) => [
    { name: part.name, of: kinds[0], share: 100 * part.share, text: `${readable(100 * part.share, 2)} %` },
    { name: part.name, of: kinds[1], share: part.per === 'hour' ? (100 * part.amount) / mix.hoursPerYear : 0, text: amountText(part, mix.hoursPerYear) },
  ]);
  const [inner, outer] = narrow ? [0.4, 0.35] : [0.25, 0.15];
  const height = Math.round((42 / (1 - inner)) * (mix.parts.length - inner + 2 * outer));
  const y = { field: 'name', type: 'nominal', sort: null, title: null, scale: { paddingInner: inner, paddingOuter: outer }, axis: { labelLimit: 130, ticks: false, domain: false, ...(narrow ? { labels: false, minExtent: 0 } : {}) } };
  const yOffset = { field: 'of', type: 'nominal', sort: null, scale: { domain: kinds } };
  // The text of a bar to the edge stands on the axis beyond it.
  const x = { field: 'share', type: 'quantitative', title: 'Share / %', scale: { domain: [0, narrow ? 150 : 125], nice: false }, axis: { values: [0, 20, 40, 60, 80, 100] } };
  const legend = { title: null, symbolType: swatch, symbolSize: 480, symbolStrokeColor: inks[0], symbolStrokeWidth: 0.8 };
  const names: Spec[] = narrow ? [{ data: { values: mix.parts.map(({ name }) => ({ name })) }, mark: { type: 'text', align: 'left', baseline: 'bottom', fontWeight: 'bold', yOffset: -24 }, encoding: { x: { value: 2 }, y: { ...y, bandPosition: 0.5 }, text: { field: 'name', type: 'nominal' } } }] : [];
  const total = `damage ${readable(mix.damagePerYear, 2)} in a year of ${grouped(Math.round(mix.hoursPerYear))} h`;
  const spread = mix.interval ? `, ${readable(mix.interval.low, 2)} to ${readable(mix.interval.high, 2)} as the hours may fall (${formatted(100 * mix.interval.level)} %)` : '';
  const first = mix.parts[0]!;
  return makeFigure({
    title, width: pageWidth(), height: 110 + height, notes: mix.notes, subtitle: `${total}${spread}: life ${mix.text}`,
    caption: `Share of the damage of each part of the duty beside its share of the hours: ${total}; ${first.name} does ${readable(100 * first.share, 2)} % of it.`,
    body: {
      width: narrow ? pageWidth() - 40 : namedPixels(), height, autosize: { type: 'pad' }, data: { values: rows },
      layer: [
        { mark: { type: 'bar', stroke: inks[0], strokeWidth: 0.8, height: { band: 0.9 } }, encoding: { x, y, yOffset, fill: { field: 'of', type: 'nominal', scale: { domain: kinds, range: [inks[0], bandFills.spread] }, legend } } },
        { mark: { type: 'text', align: 'left', dx: 5, baseline: 'middle' }, encoding: { x, y, yOffset, text: { field: 'text', type: 'nominal' } } },
        ...names,
      ],
    },
  });
}

function amountText({ amount, per }: DutyPart, hours: number): string {
  return per === 'hour' ? `${readable((100 * amount) / hours, 2)} %: ${formatted(amount)} h` : `no hours: ${formatted(amount)} by the piece`;
}
