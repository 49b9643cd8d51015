import { eventTrend } from '../spectrum/eventTrend.js';
import type { TorqueEvent } from '../spectrum/torqueEvents.js';
import { checkOptions } from '../record/check.js';
import { axisTitle, counted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { dashes, inks } from './theme.js';

/** Options of plotEventTrend. */
export interface EventTrendFigureOptions {
  readonly title?: string;
}

const names = { peak: 'Peak torque', amplification: 'Torque amplification', riseTime: 'Rise time' } as const;

/**
 * Draws a measure of events one after another in time, with their median dashed and, from three events on, the straight line through them with its slope.
 *
 * @param events from torqueEvents, of one kind, of one or several records in time order
 * @param of the size of the peak, the amplification, or the rise time
 * @param options title
 * @returns the figure
 * @throws InputError where no event has that measure
 * @see plotStates
 * @example
 * const event = (peak) => ({ state: 'start', peak, amplification: null, riseTime: null });
 * toSvg(plotEventTrend([100, 110, 120, 130].map(event), 'peak')).includes('Peak torque / N·m') // => true
 */
export function plotEventTrend(events: readonly TorqueEvent[], of: 'peak' | 'amplification' | 'riseTime', options?: EventTrendFigureOptions): Figure {
  const { title } = checkOptions('plotEventTrend', options, { optional: ['title'] });
  const trend = eventTrend(events, of);
  const shown = of === 'peak' ? shownIn('N·m', trend.largest, names.peak) : { factor: 1, unit: of === 'riseTime' ? 's' : '1', title: axisTitle(names[of], of === 'riseTime' ? 's' : '1') };
  const values = events.map((e) => e[of]).filter((v): v is number => v !== null).map((v, k) => ({ k: k + 1, v: Math.abs(v) * shown.factor }));
  const unit = shown.unit === '1' ? '' : ` ${shown.unit}`;
  const mean = values.reduce((sum, r) => sum + r.v, 0) / values.length;
  const line = trend.slope ? [1, values.length].map((k) => ({ k, v: mean + trend.slope!.value * shown.factor * (k - (values.length + 1) / 2) })) : [];
  const slope = trend.slope ? `; ${readable(trend.slope.value * shown.factor, 2)}${unit} from one to the next (90 % interval ${readable(trend.slope.low * shown.factor, 2)} to ${readable(trend.slope.high * shown.factor, 2)})` : '';
  const left = events.length - values.length;
  const said = `${counted(values.length, 'event')}, median ${readable(trend.median * shown.factor)}${unit}, largest ${readable(trend.largest * shown.factor)}${unit}${slope}`;
  const x = { field: 'k', type: 'quantitative', title: 'Event, in order of time', scale: { domain: [0.5, values.length + 0.5], nice: false }, axis: { values: values.map((r) => r.k).filter((k) => k % Math.ceil(values.length / 20) === 0), format: 'd', grid: false } };
  const y = { field: 'v', type: 'quantitative', title: shown.title, scale: { domain: [0, 1.08 * (trend.largest * shown.factor || 1)], nice: false } };
  return makeFigure({
    title: title ?? `${names[of]} from event to event`, height: 320, subtitle: said, caption: `${names[of]} of ${said}.`,
    notes: left > 0 ? [`${counted(left, 'event')} without ${names[of].toLowerCase()} left out`] : [],
    body: {
      layer: [
        { data: { values: [{ v: trend.median * shown.factor }] }, mark: { type: 'rule', strokeDash: dashes[1], color: inks[5], strokeWidth: 1.4 }, encoding: { y } },
        ...(line.length === 0 ? [] : [{ data: { values: line }, mark: { type: 'line', color: inks[1], strokeWidth: 1.6 }, encoding: { x, y } }]),
        { data: { values }, mark: { type: 'point', size: 64, opacity: 1 }, encoding: { x, y } },
      ],
    },
  });
}
