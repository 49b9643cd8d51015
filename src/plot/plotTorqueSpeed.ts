import type { TorqueSpeedMap } from '../count/torqueSpeedMap.js';
import { formatSeconds } from '../record/Channel.js';
import { checkChoice, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { grouped, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { heatLayer } from './heat.js';

/** Options of plotTorqueSpeed. */
export interface TorqueSpeedOptions {
  /** What the fields hold; `'revolutions'` unless given. */
  readonly of?: 'time' | 'revolutions';
  readonly title?: string;
}

const where = 'plotTorqueSpeed';

/**
 * Draws how long, or for how many revolutions, a shaft ran at which torque and speed: the darker the more, in classes of equal ratio.
 *
 * @param map from torqueSpeedMap
 * @param options of: `'revolutions'` or `'time'`; title
 * @returns the figure
 * @throws InputError for something that is no such map, or an empty one
 * @see plotMatrix
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [50, 150, 150, 150] });
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 1, values: [6, 6, 6, 6] });
 * toSvg(plotTorqueSpeed(torqueSpeedMap(torque, { speed, torqueEdges: [0, 100, 200], speedEdges: [0, 5, 10] }))).includes('Torque / N·m') // => true
 */
export function plotTorqueSpeed(map: TorqueSpeedMap, options?: TorqueSpeedOptions): Figure {
  const { of = 'revolutions', title = 'Torque and speed' } = checkOptions(where, options, { optional: ['of', 'title'] });
  checkChoice(where, 'of', of, ['time', 'revolutions']);
  if (kindOf(map) !== 'TorqueSpeedMap') throw new InputError({ where, argument: 'map', expected: 'a TorqueSpeedMap', given: show(map), remedy: 'Make it with torqueSpeedMap.' });
  const values = map[of];
  if (!values.some((v) => v > 0)) throw new InputError({ where, argument: 'map', expected: 'with a sample inside its edges', given: 'an empty one' });
  const [rows, columns] = [map.torqueEdges.length - 1, map.speedEdges.length - 1];
  const shown = shownIn('N·m', map.torqueEdges.reduce((m, e) => Math.max(m, Math.abs(e)), 0));
  const x = map.speedEdges.map((w) => (w * 30) / Math.PI);
  const y = map.torqueEdges.map((t) => t * shown.factor);
  const turned = Float64Array.from(values, (_, k) => values[(k % rows) * columns + Math.floor(k / rows)]!);
  const total = values.reduce((a, b) => a + b, 0);
  const amount = of === 'time' ? formatSeconds(total) : `${grouped(Math.round(total))} revolutions`;
  const axis = (name: string, edges: Float64Array): object => ({ type: 'quantitative', title: name, scale: { domain: [edges[0], edges.at(-1)], nice: false } });
  return makeFigure({
    title, height: 400, subtitle: `${amount} inside the edges${map.outside > 0 ? `, ${formatSeconds(map.outside)} outside` : ''}${map.lostTime > 0 ? `, ${formatSeconds(map.lostTime)} lost` : ''}`,
    caption: `${of === 'time' ? 'Time' : 'Revolutions'} by torque and speed: ${amount}; darker is more, white is none or below the lowest class.`,
    body: { layer: [heatLayer({ x, y, values: turned }, axis('Speed / rpm', x) as never, axis(shown.title, y) as never, of === 'time' ? 'Time / s' : 'Revolutions', 0)] },
  });
}
