import { checkChannel, type Channel } from './Channel.js';
import { checkNumber } from './check.js';
import { readerOf } from './readerOf.js';
import { unitConversion } from './units.js';

/** Where the speed of a shaft comes from, and how late the torque is. */
export interface SpeedSource {
  /** Speed of the same shaft, rpm or rad/s, at any rate. */
  readonly speed: Channel<'rpm' | 'rad/s'>;
  /** Seconds by which the torque record lags behind the speed record (radio, filters); negative where it leads. Default 0. */
  readonly latency?: number;
}

/** The speed in rad/s at the samples of a torque channel, its latency taken out, and the samples for which there is one. */
export function omegaReader(place: string, channel: Channel, options: SpeedSource): { readonly at: (i: number) => number; readonly covered: { readonly from: number; readonly to: number } } {
  const speed = checkChannel(place, options.speed, ['rpm', 'rad/s'] as const);
  const latency = checkNumber(place, 'latency', options.latency ?? 0, { unit: 's' });
  const { factor } = unitConversion(speed.unit, 'rad/s');
  const read = readerOf(place, speed, 'speed', channel.start);
  const cut = Math.ceil(Math.abs(latency) * channel.sampleRate - 1e-9);
  const covered = { from: latency > 0 ? cut : 0, to: channel.values.length - (latency < 0 ? cut : 0) };
  return { at: (i) => factor * read(i / channel.sampleRate - latency), covered };
}
