import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { omegaReader, type SpeedSource } from '../record/omegaReader.js';
import { makeResult } from '../record/result.js';
import { classifierOf, listEdges, type ClassEdges } from './classes.js';

/** What torqueSpeedMap takes; class edges are a choice without a default. */
export interface TorqueSpeedMapOptions extends SpeedSource {
  /** N·m, rising. */
  readonly torqueEdges: ClassEdges;
  /** rad/s, rising. */
  readonly speedEdges: ClassEdges;
}

/** Time and revolutions at each level of torque and speed: entry [i · speedClasses + j] of torque class i and speed class j. */
export interface TorqueSpeedMap {
  readonly torqueEdges: Float64Array;
  readonly speedEdges: Float64Array;
  /** s. */
  readonly time: Float64Array;
  readonly revolutions: Float64Array;
  /** s outside the edges, and s under masks. */
  readonly outside: number;
  readonly lostTime: number;
}

/**
 * Counts how long, and for how many revolutions, a shaft ran in each class of torque and speed: the load spectrum that gears and bearings are
 * rated by (revolutions at level), since each tooth meets its load once a revolution.
 *
 * Kept: class edges[k] ≤ value < edges[k + 1], the last with its upper edge. Cost: one pass.
 *
 * @throws InputError for edges that do not rise, or a speed that does not cover the record
 * @see timeAtLevel, powerBalance
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [50, 150, 150, 150] });
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 1, values: [2 * Math.PI, 2 * Math.PI, 2 * Math.PI, 2 * Math.PI] });
 * torqueSpeedMap(torque, { speed, torqueEdges: [0, 100, 200], speedEdges: [0, 10] }).revolutions // => [1,3]
 * @references ISO 6336-6 (load spectra by torque level and number of cycles; from memory).
 */
export function torqueSpeedMap(torque: Channel<'N·m'>, options: TorqueSpeedMapOptions): TorqueSpeedMap {
  const where = 'torqueSpeedMap';
  checkChannel(where, torque, ['N·m'], "Convert it with convert(channel, 'N·m').");
  checkOptions(where, options, { required: ['speed', 'torqueEdges', 'speedEdges'], optional: ['latency'] });
  const torqueEdges = listEdges(where, 'torqueEdges', options.torqueEdges);
  const speedEdges = listEdges(where, 'speedEdges', options.speedEdges);
  const { at, covered } = omegaReader(where, torque, { speed: options.speed, latency: options.latency ?? 0 });
  const torqueClass = classifierOf(torqueEdges);
  const speedClass = classifierOf(speedEdges);
  const [rows, columns] = [torqueEdges.length - 1, speedEdges.length - 1];
  const time = new Float64Array(rows * columns);
  const revolutions = new Float64Array(time.length);
  const dt = 1 / torque.sampleRate;
  let outside = 0, valid = 0;
  for (const run of validRuns(torque)) {
    for (let n = Math.max(run.from, covered.from); n < Math.min(run.to, covered.to); n++) {
      const w = at(n);
      const i = torqueClass(torque.values[n]!);
      const j = speedClass(w);
      valid++;
      if (i < 0 || j < 0 || i >= rows || j >= columns) outside += dt;
      else {
        time[i * columns + j]! += dt;
        revolutions[i * columns + j]! += (Math.abs(w) * dt) / (2 * Math.PI);
      }
    }
  }
  return makeResult('TorqueSpeedMap', { torqueEdges, speedEdges, time, revolutions, outside, lostTime: (torque.values.length - valid) * dt },
    (m) => `TorqueSpeedMap ${m.torqueEdges.length - 1} × ${m.speedEdges.length - 1}: ${m.revolutions.reduce((s, r) => s + r, 0).toPrecision(4)} revolutions, ${m.outside.toPrecision(3)} s outside`);
}
