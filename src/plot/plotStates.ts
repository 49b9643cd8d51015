import type { MachineStates } from '../spectrum/segmentStates.js';
import { checkChannel, duration, formatSeconds, type Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { timeTitle, timeUnit } from './axes.js';
import { swatch } from './bands.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { drawable, panelSpec } from './panel.js';

/** Options of plotStates. */
export interface StatesFigureOptions {
  readonly title?: string;
}

const where = 'plotStates';
/** Light to dark with how much happens, so that the states stay apart in grey. */
const fills: Readonly<Record<string, string>> = { stop: '#f7f8f9', steady: '#d9e4ec', 'coast-down': '#a9c8bf', reverse: '#b695bf', start: '#c9743a', 'load change': '#596b27', trip: '#7d0f19' };

/**
 * Draws channels against time with the states of the machine as a strip beneath: stop, start, steady, load change, trip, coast-down, reverse.
 *
 * @param channels one channel or two, from the record in which the states were found
 * @param states from segmentStates
 * @param options title
 * @returns the figure
 * @throws InputError for something that are no states, or more than two channels
 * @see plotHistory
 * @example
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Array.from({ length: 600 }, (_, i) => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8))) });
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array.from(speed.values, (w) => 3 * w * w) });
 * toSvg(plotStates([torque, speed], segmentStates(torque, { speed, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 }))).includes('coast-down') // => true
 */
export function plotStates(channels: Channel | readonly Channel[], states: MachineStates, options?: StatesFigureOptions): Figure {
  const { title = 'States of the machine' } = checkOptions(where, options, { optional: ['title'] });
  const list = (Array.isArray(channels) ? channels : [channels]) as readonly Channel[];
  if (list.length < 1 || list.length > 2) throw new InputError({ where, argument: 'channels', expected: 'one channel or two', given: String(list.length) });
  list.forEach((channel) => checkChannel(where, channel));
  if (kindOf(states) !== 'MachineStates') throw new InputError({ where, argument: 'states', expected: 'MachineStates', given: show(states), remedy: 'Make them with segmentStates.' });
  const window = { from: 0, to: Math.max(...list.map(duration)) };
  const axis = timeUnit(window.to);
  const common = { window, axis, rest: [], time: timeTitle(axis.unit, list[0]!.start), last: false };
  const names = Object.keys(fills).filter((name) => states.states.some((s) => s.state === name));
  const rows = states.states.map((s) => ({ from: s.from / axis.seconds, to: Math.min(s.to, window.to) / axis.seconds, state: s.state }));
  const x = { type: 'quantitative', title: common.time, scale: { domain: [0, window.to / axis.seconds], nice: false }, axis: { grid: false } };
  const wide = states.states.filter((s) => ((Math.min(s.to, window.to) - s.from) / window.to) * panelPixels() > 10 + 7 * s.state.length);
  const strip: Spec = {
    width: panelPixels(), height: 24,
    layer: [
      {
        data: { values: rows }, mark: { type: 'rect', stroke: '#22282f', strokeWidth: 0.5, clip: true },
        encoding: {
          x: { field: 'from', ...x }, x2: { field: 'to' },
          color: { field: 'state', type: 'nominal', scale: { domain: names, range: names.map((n) => fills[n]) }, legend: { title: null, symbolType: swatch, symbolSize: 480, symbolStrokeColor: '#22282f', symbolStrokeWidth: 0.5 } },
        },
      },
      { data: { values: wide.map((s) => ({ at: (s.from + Math.min(s.to, window.to)) / 2 / axis.seconds, state: s.state })) }, mark: { type: 'text', baseline: 'middle', color: { expr: "indexof(['load change', 'trip'], datum.state) < 0 ? '#22282f' : '#ffffff'" } }, encoding: { x: { field: 'at', ...x }, text: { field: 'state', type: 'nominal' } } },
    ],
  };
  const said = Object.entries(states.time).map(([name, seconds]) => `${name} ${formatSeconds(seconds)}`).join(', ');
  return makeFigure({
    title, subtitle: said, width: pageWidth(), height: 150 + 185 * list.length, notes: states.notes, caption: `${list.map((c) => c.name).join(' and ')} with the states of the machine: ${said}.`,
    body: { vconcat: [...list.map((channel) => panelSpec([drawable(where, channel, null)], { ...common, height: 150 })), strip], spacing: 10, resolve: { scale: { x: 'shared' } } },
  });
}
