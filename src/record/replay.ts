import { InputError } from './errors.js';
import { checkChannel, type Channel, type Step } from './Channel.js';
import { operationNamed } from './operation.js';

/**
 * Runs a trail again on raw data. The raw channel's own trail must be the beginning of the trail; the steps after it
 * are executed with the same options, and channels that a step read are replayed from `companions`.
 *
 * @param raw the channel as it was before the steps
 * @param trail the trail of the processed channel
 * @param companions the raw form of every other channel that the trail names, found by name
 * @returns the processed channel, the same bytes as the first time
 * @throws InputError where the trail does not begin with the trail of `raw`, or names a channel that is not among the companions
 * @example
 * const raw = makeChannel({ name: 'T', unit: 'kN·m', sampleRate: 10, values: [1, 2, 3] });
 * const done = convert(slice(raw, { from: 0.1, to: 0.3 }), 'N·m');
 * Array.from(replay(raw, done.trail).values) // => [2000,3000]
 */
export function replay(raw: Channel, trail: readonly Step[], companions: readonly Channel[] = []): Channel {
  checkChannel('replay', raw);
  raw.trail.forEach((step, i) => {
    if (!trail[i] || stepText(trail[i]) !== stepText(step)) {
      throw new InputError({ where: 'replay', argument: 'trail', expected: `a trail that begins as the raw channel's does (step ${i + 1}: ${step.op})`, given: trail[i] ? `the step ${trail[i]!.op}` : 'an end' });
    }
  });
  let channel = raw;
  for (const step of trail.slice(raw.trail.length)) {
    const options: Record<string, unknown> = { ...(step.options as object) };
    for (const origin of step.inputs) {
      const companion = companions.find((c) => c.name === origin.name) ?? (raw.name === origin.name ? raw : undefined);
      if (!companion) {
        throw new InputError({ where: 'replay', argument: 'companions', expected: `holding the channel ${origin.name} that ${step.op} reads as ${origin.role}`, given: companions.map((c) => c.name).join(', ') || 'none' });
      }
      options[origin.role] = replay(companion, origin.trail, companions);
    }
    channel = operationNamed(step.op)(channel, options);
  }
  return channel;
}

/** What must agree between two runs of a step: not the version that ran it. */
function stepText(step: Step): string {
  return JSON.stringify([step.op, step.options, step.found]);
}
