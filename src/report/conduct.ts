import { InputError } from '../record/errors.js';
import { powerBalance, type PowerBalance } from '../spectrum/powerBalance.js';
import { segmentStates, type MachineStates } from '../spectrum/segmentStates.js';
import { torqueEvents, type TorqueEvents } from '../spectrum/torqueEvents.js';
import { inJob } from './inJob.js';
import type { Job } from './Job.js';
import type { PreparedSignal } from './prepare.js';

/** What the machine did: its states, its events, and the power of its longest steady stretch. */
export interface Conduct {
  readonly states: MachineStates;
  readonly events: TorqueEvents;
  readonly power: (PowerBalance & { readonly from: number; readonly to: number }) | null;
}

/** States, events and power, where the job states the limits and the record holds a speed. */
export function conductOf(job: Job, signal: PreparedSignal): Conduct | null {
  if (!job.states || !signal.speed) return null;
  const { ringDown, ...limits } = job.states;
  if (ringDown && !(ringDown.to < signal.filtered.sampleRate / 2)) {
    throw new InputError({ where: 'job', argument: 'states.ringDown.to', expected: `below half the sample rate (${signal.filtered.sampleRate / 2} Hz)`, given: `${ringDown.to} Hz` });
  }
  const { speed } = signal;
  const states = inJob((at) => (at === 'speed' ? 'recording.speed' : `states.${at}`), () => segmentStates(signal.filtered, { speed, ...limits }));
  const events = torqueEvents(signal.filtered, { states, ...(ringDown ? { ringDown } : {}) });
  const steady = states.states.filter((s) => s.state === 'steady').sort((a, b) => b.to - b.from - (a.to - a.from))[0];
  const power = steady && Math.abs(steady.speed) * (steady.to - steady.from) > 4 * Math.PI
    ? { ...inJob('power.latency', () => powerBalance(signal.filtered, { speed, from: steady.from, to: steady.to, ...(job.power?.latency === undefined ? {} : { latency: job.power.latency }) })), from: steady.from, to: steady.to } : null;
  return { states, events, power };
}

/** Power of the steady stretch in a sentence, beside what short cuts would give. */
export function powerSentence(power: NonNullable<Conduct['power']>): string {
  const kW = (watt: number): string => (watt / 1000).toPrecision(4);
  return `Power over the longest steady stretch (${power.from.toFixed(1)} to ${power.to.toFixed(1)} s, ${power.revolutions} whole revolutions): mean of T·ω ${kW(power.meanPower)} kW, energy ${(power.energy / 3.6e6).toPrecision(4)} kW·h; `
    + `mean(T)·mean(ω) would be ${kW(power.productOfMeans)} kW${power.uncorrectedPower === power.meanPower ? '' : `, and without the latency taken out ${kW(power.uncorrectedPower)} kW`}.${power.notes.map((note) => ` ${note}`).join('')}`;
}
