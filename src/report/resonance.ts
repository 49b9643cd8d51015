import { validRuns, type Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { slice, windowToSamples, type TimeWindow } from '../record/slice.js';
import { bandpass } from '../filter/lowpass.js';
import { driveOrders } from '../spectrum/driveOrders.js';
import { findLines, type SpectralLine } from '../spectrum/findLines.js';
import { fitSweep, type SweepFit } from '../spectrum/fitSweep.js';
import { nameLines, type NamedLine } from '../spectrum/nameLines.js';
import { powerDensity, type PowerDensity } from '../spectrum/powerDensity.js';
import { speedCrossings, type SpeedCrossings } from '../spectrum/speedCrossings.js';
import { torsionalModes } from '../spectrum/torsionalModes.js';
import type { Conduct } from './conduct.js';
import { inJob } from './inJob.js';
import type { Job } from './Job.js';
import type { PreparedSignal } from './prepare.js';
import { runUpOf, type RunUp } from './runUp.js';

/** The spectrum, its lines, and what they are. */
export interface Resonance {
  readonly spectrum: PowerDensity;
  /** The stretch it was taken over, s; null for the whole record. */
  readonly stretch: TimeWindow | null;
  readonly lines: readonly SpectralLine[];
  /** The lines with their names; null where the job states no drive, or there is no steady stretch with a speed. */
  readonly named: readonly NamedLine[] | null;
  /** Natural frequencies, Hz, and where each comes from. */
  readonly natural: readonly { readonly frequency: number; readonly damping: number | null; readonly from: string }[];
  /** Fits of the runs through a resonance that the job names. */
  readonly sweeps: readonly { readonly window: TimeWindow; readonly fit: SweepFit }[];
  /** What the record shows over speed; null where it holds no speed. */
  readonly runUp: RunUp | null;
  /** Where orders meet natural frequencies, and how near to the running speed; null where damping or orders are not known. */
  readonly crossings: SpeedCrossings | null;
}

/** Where a computed natural frequency comes from. */
export const byTrain = 'the stated train';

/** What a line may be, in words; a dash where the job states no drive. */
export function wordsOf(line: SpectralLine | NamedLine): string {
  return 'names' in line ? line.names.map((n) => n.name).join(' or ') || 'not known' : '–';
}

/** Is a line worth a reader's time: as narrow as a steady sine, or with a name? */
export function isClear(line: SpectralLine | NamedLine): boolean {
  return line.steady || ('names' in line && line.names.length > 0);
}

/** A steady stretch must last as long as this, s, for a spectrum of its own. */
const longEnough = 8;

/** The spectrum of the longest steady stretch (or of the whole record), its lines by name, and the crossings. */
export function resonanceOf(job: Job, signal: PreparedSignal, conduct: Conduct | null): Resonance {
  const steady = conduct?.states.states.filter((s) => s.state === 'steady' && s.to - s.from >= longEnough).sort((a, b) => b.to - b.from - (a.to - a.from))[0];
  const stretch = steady ? { from: steady.from, to: steady.to } : null;
  const channel = stretch ? slice(signal.zeroed, stretch) : signal.zeroed;
  const spectrum = powerDensity(channel, { segment: segmentFor(channel) });
  const lines = findLines(spectrum);
  const sweeps = sweepsOf(job, signal);
  const natural = naturalOf(job, conduct, sweeps);
  // Where the train is stated its modes are the ones to name; the ring-down stands beside them for comparison.
  const known = natural.some((n) => n.from === byTrain) ? natural.filter((n) => n.from === byTrain) : natural;
  const orders = job.drive ? driveOrders(job.drive.shafts) : null;
  const exciting = [...new Set([...(orders ?? []).map((o) => o.order), ...sweeps.map((s) => s.fit.order)])].sort((a, b) => a - b);
  const speed = steady ? Math.abs(steady.speed) : 0;
  const named = orders && speed > 0 ? nameLines(lines, {
    speed, orders, natural: known.map((n) => n.frequency), tolerance: spectrum.enbw, ...(job.drive!.lineFrequency === undefined ? {} : { lineFrequency: job.drive!.lineFrequency }),
  }) : null;
  return { spectrum, stretch, lines, named, natural, sweeps, runUp: runUpOf(signal, conduct, exciting), crossings: exciting.length > 0 && speed > 0 ? crossingsOf(known, exciting, speed) : null };
}

function sweepsOf(job: Job, { zeroed, speed }: PreparedSignal): Resonance['sweeps'] {
  return (job.sweeps ?? []).map(({ from, to, band, order, excitation }, i) => {
    if (!(band.to < zeroed.sampleRate / 2)) throw new InputError({ where: 'job', argument: `sweeps[${i}].band.to`, expected: `below half the sample rate (${zeroed.sampleRate / 2} Hz)`, given: `${band.to} Hz` });
    windowToSamples('job', zeroed, { from, to }, `sweeps[${i}]`);
    return Object.freeze({ window: Object.freeze({ from, to }), fit: inJob(`sweeps[${i}]`, () => fitSweep(bandpass(zeroed, { ...band, shortRuns: 'mask' }), { from, to, speed: speed!, order, excitation })) });
  });
}

/** Natural frequencies by computation, where the job states a train, by ring-down, where a trip rang, and by the sweeps that it names. */
function naturalOf(job: Job, conduct: Conduct | null, sweeps: Resonance['sweeps']): Resonance['natural'] {
  const computed = job.train ? inJob('train', () => torsionalModes(job.train!)).modes.filter((m) => m.frequency > 0).map((m) => ({ frequency: m.frequency, damping: m.dampingRatio > 0 ? m.dampingRatio : null, from: byTrain })) : [];
  const rung = (conduct?.events.events ?? []).flatMap((e) => e.ringDown?.modes ?? []).map((m) => ({ frequency: m.frequency.value, damping: m.dampingRatio.value, from: 'the ring-down' }));
  const swept = sweeps.map(({ window, fit }) => ({ frequency: fit.frequency.value, damping: fit.dampingRatio.value, from: `the sweep of order ${fit.order} (${window.from} to ${window.to} s)` }));
  return [...computed, ...swept, ...rung];
}

function crossingsOf(natural: Resonance['natural'], orders: readonly number[], running: number): SpeedCrossings | null {
  const damped = natural.filter((n) => n.damping !== null);
  if (damped.length === 0) return null;
  return speedCrossings({ frequencies: damped.map((n) => n.frequency), damping: damped.map((n) => n.damping!), orders, from: 0.05 * running, to: 2 * running, running });
}

/** A power of two near eight seconds, but at most a quarter of the stretch, and no longer than its longest run without a gap. */
function segmentFor(channel: Channel): number {
  const longest = validRuns(channel).reduce((most, run) => Math.max(most, run.to - run.from), 0);
  if (longest < shortestSegment) throw new InputError({ where: 'job', argument: 'recording.torque', expected: `a channel with at least ${shortestSegment} valid samples in a row`, given: `${longest} at the most`, remedy: 'Look at its masks.' });
  return 2 ** Math.floor(Math.log2(Math.min(8 * channel.sampleRate, Math.max(shortestSegment, channel.values.length / 4), longest)));
}

const shortestSegment = 16;
