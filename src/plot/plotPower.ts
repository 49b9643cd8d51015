import type { PowerLawFit, PowerPoints } from '../spectrum/fitPowerLaw.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, readable, shownIn } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { dashes, inks } from './theme.js';

/** Options of plotPower. */
export interface PowerFigureOptions {
  readonly title?: string;
}

const where = 'plotPower';

/**
 * Draws power against speed with the fitted power law and the cubic law through the same points, and below it by how much each point departs from either.
 *
 * @param points the points that fitPowerLaw was given
 * @param fit what it found
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no fit, or points that are not those of the fit
 * @see plotHistory
 * @example
 * const points = { speed: [10, 20, 30, 40], power: [1000, 8100, 26900, 64000] };
 * toSvg(plotPower(points, fitPowerLaw(points))).includes('Power / kW') // => true
 */
export function plotPower(points: PowerPoints, fit: PowerLawFit, options?: PowerFigureOptions): Figure {
  const { title = 'Power over speed' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(fit) !== 'PowerLawFit') throw new InputError({ where, argument: 'fit', expected: 'a PowerLawFit', given: show(fit), remedy: 'Make it with fitPowerLaw.' });
  const n = fit.residuals.length;
  if (points?.speed?.length !== n || points.power.length !== n) throw new InputError({ where, argument: 'points', expected: `the ${n} points of the fit`, given: show(points?.speed) });
  const speed = Float64Array.from(points.speed);
  const power = Float64Array.from(points.power);
  const [low, high] = [Math.min(...speed), Math.max(...speed)];
  const shown = shownIn('W', Math.max(...power));
  const names = [`fitted, exponent ${readable(fit.exponent)} (residuals: circles)`, 'cubic law (residuals: triangles)'];
  const perMinute = 30 / Math.PI;
  const law = (k: number, w: number): number => (k === 0 ? fit.coefficient * w ** fit.exponent : fit.cubic * w ** 3);
  const lines = names.flatMap((series, k) => Array.from({ length: 101 }, (_, i) => low + ((high - low) * i) / 100).map((w) => ({ n: w * perMinute, y: law(k, w) * shown.factor, series })));
  const rest = names.flatMap((series, k) => Array.from(speed, (w, i) => ({ n: w * perMinute, r: 100 * (k === 0 ? fit.residuals : fit.cubicResiduals)[i]!, series })));
  const scale = { domain: names, range: [inks[1], inks[0]] };
  const legend = { title: null, symbolType: 'stroke', symbolSize: 480 };
  const x = (last: boolean): Spec => ({ field: 'n', type: 'quantitative', title: last ? 'Speed / rpm' : null, scale: { domain: [low * perMinute, high * perMinute], nice: false, padding: 12 }, axis: last ? {} : { labels: false } });
  return makeFigure({
    title, width: pageWidth(), height: 460, notes: fit.notes, subtitle: `${n} points; exponent ${readable(fit.exponent)}, 95 % interval ${readable(fit.low)} to ${readable(fit.high)}`,
    caption: `Power against speed with P ∝ speed^${readable(fit.exponent)} and the cubic law; the points depart from the cubic law by up to ${readable(100 * fit.cubicResiduals.reduce((m, r) => Math.max(m, Math.abs(r)), 0), 2)} %.`,
    body: {
      spacing: 12, resolve: { scale: { color: 'independent', strokeDash: 'independent' } },
      vconcat: [
        {
          width: panelPixels(), height: 210,
          layer: [
            { data: { values: lines }, mark: { type: 'line', strokeWidth: 1.6 }, encoding: { x: x(false), y: { field: 'y', type: 'quantitative', title: shown.title }, color: { field: 'series', type: 'nominal', scale, legend }, strokeDash: { field: 'series', type: 'nominal', scale: { domain: names, range: dashes.slice(0, 2) }, legend } } },
            { data: { values: Array.from(speed, (w, i) => ({ n: w * perMinute, y: power[i]! * shown.factor })) }, mark: { type: 'point', size: 48, filled: false, strokeWidth: 1.4, opacity: 1, color: '#22282f' }, encoding: { x: x(false), y: { field: 'y', type: 'quantitative' } } },
          ],
        },
        {
          width: panelPixels(), height: 95,
          layer: [
            { data: { values: [{ zero: 0 }] }, mark: { type: 'rule', color: inks[5] }, encoding: { y: { field: 'zero', type: 'quantitative' } } },
            { data: { values: rest }, mark: { type: 'point', size: 56, opacity: 1 }, encoding: { x: x(true), y: { field: 'r', type: 'quantitative', title: axisTitle('Residual', '%'), scale: { nice: false, padding: 8 } }, color: { field: 'series', type: 'nominal', scale, legend: null }, shape: { field: 'series', type: 'nominal', scale: { domain: names, range: ['circle', 'triangle-up'] }, legend: null } } },
          ],
        },
      ],
    },
  });
}
