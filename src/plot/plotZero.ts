import type { ZeroModel } from '../clean/ZeroModel.js';
import { checkChannel, duration, formatSeconds, validRuns, type Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import type { TimeWindow } from '../record/slice.js';
import { axisTitle, counted, readable, timeTitle, timeUnit, type Shown } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { drawable, largestOf, panelSpec, verticalScale } from './panel.js';
import { alertInk, inks } from './theme.js';

/** Options of plotZero. */
export interface ZeroFigureOptions {
  /** Rest windows to mark, s; those of the model unless given. */
  readonly rest?: readonly TimeWindow[];
  readonly title?: string;
}

const where = 'plotZero';

/**
 * Draws a channel before and after its zero was removed, and between the two the zero itself on its own scale: what was taken off as a line,
 * the mean of every rest window (less the friction of a window in which the shaft turns) as a point. With a model of two states or more a
 * panel of its own shows the residual of each state, and the residual it has when it is left out of the fit.
 *
 * @param before the channel before removeZero
 * @param after the same after it: unit, rate and length must agree
 * @param model what fitZero found; its windows are marked and its residuals stated. Left out: the line alone
 * @param options rest: windows to mark, s; title
 * @returns the figure
 * @throws InputError for channels that do not belong together
 * @see plotHistory
 * @example
 * const raw = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: [30, 30, 530, 560, 34, 34] });
 * const model = fitZero(raw, { rest: [{ from: 0, to: 2 }, { from: 4, to: 6 }], model: 'linear in time' });
 * toSvg(plotZero(raw, removeZero(raw, model), model)).includes('Zero / N·m') // => true
 */
export function plotZero<C extends Channel>(before: C, after: C, model?: ZeroModel, options?: ZeroFigureOptions): Figure {
  const { rest, title } = checkOptions(where, options, { optional: ['rest', 'title'] });
  checkChannel(where, before);
  checkChannel(where, after);
  if (before.unit !== after.unit || before.sampleRate !== after.sampleRate || before.values.length !== after.values.length) {
    const form = (c: Channel): string => `${c.values.length} samples in ${c.unit} at ${c.sampleRate} Hz`;
    throw new InputError({ where, argument: 'after', expected: `the channel before, less its zero (${form(before)})`, given: form(after) });
  }
  if (model !== undefined && kindOf(model) !== 'ZeroModel') throw new InputError({ where, argument: 'model', expected: 'a ZeroModel', given: show(model), remedy: 'Make one with fitZero.' });
  const window = { from: 0, to: duration(before) };
  const axis = timeUnit(window.to);
  const common = { window, axis, rest: rest ?? model?.states ?? [], time: timeTitle(axis.unit, before.start) };
  const largest = validRuns(before).reduce((m, run) => Math.max(m, largestOf(before.values, run)), 0);
  const zero = zeroRows(before, after, axis.seconds, largest);
  const line = (x: Spec, shown: Shown, dash: number[]): Spec => ({
    data: { values: zero.map((r) => ({ t: r.t, zero: r.zero * shown.factor })) },
    mark: { type: 'line', color: inks[1], strokeWidth: 1.8, strokeDash: dash, clip: true }, encoding: { x, y: { field: 'zero', type: 'quantitative' } },
  });
  const first = panelSpec([drawable(where, before, null)], { ...common, last: false, height: 130, what: 'Before', extra: (x, shown) => [line(x, shown, [7, 3])] });
  const last = panelSpec([drawable(where, after, null)], {
    ...common, last: true, largest, height: 130, what: 'After',
    extra: (_, shown) => [{ data: { values: [{ y: shown.offset }] }, mark: { type: 'rule', color: inks[1], strokeDash: [7, 3] }, encoding: { y: { field: 'y', type: 'quantitative' } } }],
  });
  const low = zero.reduce((m, r) => Math.min(m, r.zero), Infinity);
  const high = zero.reduce((m, r) => Math.max(m, r.zero), -Infinity);
  const sentence = model
    ? `${counted(model.states.length, 'rest window')}, ${model.states.length === 1 ? 'which leaves no residual' : `root mean square residual ${readable(model.residual)} ${model.unit}`}${model.leaveOneOut === null ? '' : `, leave-one-out ${readable(model.leaveOneOut)} ${model.unit}`}`
    : '';
  const name = title ?? `Zero of ${before.name}`;
  const residuals = model && model.states.length > 1 ? residualPanel(model, common, axis.seconds) : null;
  return makeFigure({
    title: name, subtitle: sentence, width: pageWidth(), height: residuals ? 660 : 530,
    caption: `${before.name} before and after its zero was removed, over ${formatSeconds(window.to)}; the zero lies between ${readable(low)} and ${readable(high)} ${before.unit}${sentence === '' ? '' : `; ${sentence}`}.`,
    notes: model?.notes ?? [],
    body: { vconcat: [first, zeroPanel(zero, before, model, common, axis.seconds), ...(residuals ? [residuals] : []), last], spacing: 12, resolve: { scale: { x: 'shared', fill: 'shared' } } },
  });
}

interface ZeroRow { readonly t: number; readonly zero: number }

/** What was taken off, at three hundred instants spread over the record, without the digits that are rounding of the two. */
function zeroRows(before: Channel, after: Channel, seconds: number, largest: number): ZeroRow[] {
  const step = 10 ** Math.floor(Math.log10(largest || 1) - 13);
  const n = before.values.length;
  const count = Math.min(n, 300);
  const rows: ZeroRow[] = [];
  for (let k = 0; k < count; k++) {
    const i = count === 1 ? 0 : Math.round((k * (n - 1)) / (count - 1));
    const zero = Math.round((before.values[i]! - after.values[i]!) / step) * step;
    if (Number.isFinite(zero)) rows.push({ t: i / before.sampleRate / seconds, zero });
  }
  return rows;
}

function zeroPanel(zero: readonly ZeroRow[], before: Channel, model: ZeroModel | undefined, { window }: { readonly window: TimeWindow }, seconds: number): Spec {
  const x = { field: 't', type: 'quantitative', title: null, scale: { domain: [window.from / seconds, window.to / seconds], nice: false }, axis: { grid: false, labels: false } };
  const y = { field: 'zero', type: 'quantitative', title: axisTitle('Zero', before.unit), scale: verticalScale(zero.map((r) => r.zero)) };
  const friction = model?.coefficients[model.terms.indexOf('friction')] ?? 0;
  const states = (model?.states ?? []).map((s) => ({ t: (s.from + s.to) / 2 / seconds, zero: s.mean - friction * Math.sign(s.speed ?? 0), residual: s.residual }));
  return {
    width: panelPixels(), height: 105,
    layer: [
      { data: { values: zero }, mark: { type: 'line', color: inks[1], strokeWidth: 1.8, strokeDash: [7, 3] }, encoding: { x, y } },
      ...(states.length === 0 ? [] : [
        {
          data: { values: states }, mark: { type: 'point', color: alertInk, shape: 'diamond', size: 70 },
          encoding: { x, y, tooltip: [{ field: 'zero', type: 'quantitative', title: `mean at rest / ${before.unit}` }, { field: 'residual', type: 'quantitative', title: `residual / ${before.unit}` }] },
        },
      ]),
    ],
  };
}

/** Residual of each state, and how far the fit without it misses it. */
function residualPanel(model: ZeroModel, { window }: { readonly window: TimeWindow }, seconds: number): Spec {
  const kinds = ['residual in the fit', 'residual when left out of it'];
  const rows = model.states.flatMap((s) => [[kinds[0], s.residual] as const, [kinds[1], s.leaveOneOut] as const]
    .filter(([, residual]) => residual !== null).map(([kind, residual]) => ({ t: (s.from + s.to) / 2 / seconds, residual, kind })));
  const shown = kinds.filter((kind) => rows.some((r) => r.kind === kind));
  return {
    width: panelPixels(), height: 90,
    layer: [
      { data: { values: [{ residual: 0 }] }, mark: { type: 'rule', color: inks[1], strokeDash: [7, 3] }, encoding: { y: { field: 'residual', type: 'quantitative' } } },
      {
        data: { values: rows }, mark: { type: 'point', size: 70, opacity: 1 },
        encoding: {
          x: { field: 't', type: 'quantitative', title: null, scale: { domain: [window.from / seconds, window.to / seconds], nice: false }, axis: { grid: false, labels: false } },
          y: { field: 'residual', type: 'quantitative', title: axisTitle('Residual', model.unit), scale: { zero: true, nice: false, padding: 7 } },
          shape: { field: 'kind', type: 'nominal', scale: { domain: shown, range: ['diamond', 'circle'] }, legend: { title: null } },
          color: { field: 'kind', type: 'nominal', scale: { domain: shown, range: [alertInk, inks[0]] }, legend: { title: null } },
        },
      },
    ],
  };
}
