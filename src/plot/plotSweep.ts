import type { SweepFit } from '../spectrum/fitSweep.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, formatted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { foundMode, foundText } from './foundMode.js';
import { pageWidth } from './page.js';
import { seriesScales } from './series.js';

/** Options of plotSweep. */
export interface SweepFigureOptions {
  readonly title?: string;
}

const where = 'plotSweep';
/** Stretches that a sweep is parted into, and the least cycles of each. */
const [most, leastCycles] = [150, 2];

/**
 * Draws a run through a resonance as it was fitted: half the range of the signal in short stretches of time against the exciting frequency, and the same of the fitted vibration; the interval of the natural
 * frequency is shaded. A run-up peaks above the natural frequency and beats behind it; the fit holds both.
 *
 * @param fit from fitSweep
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no such fit
 * @see fitSweep, plotRingDown, plotAmbient
 * @example
 * (not run: needs a run-up)
 * plotSweep(fitSweep(bandpass(torque, { from: 5, to: 14 }), { from: 40, to: 75, speed, order: 5, excitation: 'speed squared' }))
 */
export function plotSweep(fit: SweepFit, options?: SweepFigureOptions): Figure {
  const { title } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(fit) !== 'SweepFit') throw new InputError({ where, argument: 'fit', expected: 'a SweepFit', given: show(fit), remedy: 'Make it with fitSweep.' });
  const stretches = stretchesOf(fit);
  const shown = shownIn(fit.unit, stretches.reduce((m, s) => Math.max(m, s.signal), 0));
  const names = ['signal', 'fitted'] as const;
  const rows = names.flatMap((series) => stretches.map((s, i) => ({ f: s.frequency, a: s[series] * shown.factor, i, series })));
  const ends = rows.map((r) => r.f);
  const [low, high] = [ends.reduce((a, b) => Math.min(a, b)), ends.reduce((a, b) => Math.max(a, b))];
  const x = { field: 'f', type: 'quantitative', title: 'Exciting frequency / Hz', scale: { domain: [low, high], nice: false } };
  const y = { field: 'a', type: 'quantitative', title: axisTitle(`${shown.title.split(' /')[0]!}, half its range`, shown.unit), scale: { zero: true } };
  const up = fit.sweepRate > 0;
  return makeFigure({
    title: title ?? `Order ${formatted(fit.order)} through a resonance`, width: pageWidth(), height: 360, notes: fit.notes,
    subtitle: `${foundText(fit)}; ${formatted(100 * fit.level)} % intervals, run ${up ? 'up' : 'down'} at ${readable(Math.abs(fit.sweepRate), 2)} Hz/s, met at ${readable(fit.criticalSpeed, 4)} rpm`,
    caption: `Half the range of the signal in ${stretches.length} stretches of a run ${up ? 'up' : 'down'} through the resonance, and of the fitted vibration: ${foundText(fit)}; dashed the natural frequency, shaded its interval.`,
    body: {
      layer: [
        ...foundMode(fit.frequency, x),
        { data: { values: rows }, mark: { type: 'line', clip: true, strokeWidth: 1.4 }, encoding: { x, y, order: { field: 'i', type: 'quantitative' }, ...seriesScales(names) } },
      ],
    },
  });
}

interface Stretch { readonly frequency: number; readonly signal: number; readonly fitted: number }

/** Stretches of equally many samples, each of two cycles at least: their mean frequency, and half the range of the signal and of the fitted vibration. */
function stretchesOf({ trace: { sampleRate, frequency, signal, fitted } }: SweepFit): Stretch[] {
  const n = frequency.length;
  const slowest = frequency.reduce((a, b) => Math.min(a, Math.abs(b)), Infinity);
  const count = Math.max(1, Math.min(most, Math.floor((n * slowest) / sampleRate / leastCycles)));
  return Array.from({ length: count }, (_, k) => {
    const [from, to] = [Math.floor((k * n) / count), Math.floor(((k + 1) * n) / count)];
    return { frequency: frequency.subarray(from, to).reduce((a, b) => a + b, 0) / (to - from), signal: halfRange(signal.subarray(from, to)), fitted: halfRange(fitted.subarray(from, to)) };
  });
}

function halfRange(values: Float64Array): number {
  return (values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b))) / 2;
}
