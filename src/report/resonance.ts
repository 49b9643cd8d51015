import { validRuns, type Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { slice } from '../record/slice.js';
import type { TimeWindow } from '../record/slice.js';
import { driveOrders, type DriveOrder } from '../spectrum/driveOrders.js';
import { findLines, type SpectralLine } from '../spectrum/findLines.js';
import { nameLines, type NamedLine } from '../spectrum/nameLines.js';
import { powerDensity, type PowerDensity } from '../spectrum/powerDensity.js';
import { speedCrossings, type SpeedCrossings } from '../spectrum/speedCrossings.js';
import { torsionalModes } from '../spectrum/torsionalModes.js';
import type { Conduct } from './conduct.js';
import type { Job } from './Job.js';
import type { PreparedSignal } from './prepare.js';

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
  /** Where orders meet natural frequencies, and how near to the running speed; null where damping or orders are not known. */
  readonly crossings: SpeedCrossings | null;
}

const byTrain = 'the stated train';

/** What a line may be, in words; a dash where the job states no drive. */
export function wordsOf(line: SpectralLine | NamedLine): string {
  return 'names' in line ? line.names.map((n) => n.name).join(' or ') || 'not known' : '–';
}

/** Is a line worth a reader's time: as narrow as a steady sine, or with a name? */
export function isClear(line: SpectralLine | NamedLine): boolean {
  return line.steady || ('names' in line && line.names.length > 0);
}

/** A steady stretch must last as long as this, s, for a spectrum of its own. */
const longEnough = 16;

/** The spectrum of the longest steady stretch (or of the whole record), its lines by name, and the crossings. */
export function resonanceOf(job: Job, signal: PreparedSignal, conduct: Conduct | null): Resonance {
  const steady = conduct?.states.states.filter((s) => s.state === 'steady' && s.to - s.from >= longEnough).sort((a, b) => b.to - b.from - (a.to - a.from))[0];
  const stretch = steady ? { from: steady.from, to: steady.to } : null;
  const channel = stretch ? slice(signal.zeroed, stretch) : signal.zeroed;
  const spectrum = powerDensity(channel, { segment: segmentFor(channel) });
  const lines = findLines(spectrum);
  const natural = naturalOf(job, conduct);
  // Where the train is stated its modes are the ones to name; the ring-down stands beside them for comparison.
  const known = natural.some((n) => n.from === byTrain) ? natural.filter((n) => n.from === byTrain) : natural;
  const orders = job.drive ? driveOrders(job.drive.shafts) : null;
  const speed = steady ? Math.abs(steady.speed) : 0;
  const named = orders && speed > 0 ? nameLines(lines, {
    speed, orders, natural: known.map((n) => n.frequency), tolerance: spectrum.enbw, ...(job.drive!.lineFrequency === undefined ? {} : { lineFrequency: job.drive!.lineFrequency }),
  }) : null;
  return { spectrum, stretch, lines, named, natural, crossings: orders && speed > 0 ? crossingsOf(known, orders, speed) : null };
}

/** Natural frequencies by computation, where the job states a train, and by ring-down, where a trip rang. */
function naturalOf(job: Job, conduct: Conduct | null): Resonance['natural'] {
  const computed = job.train ? torsionalModes(job.train).modes.filter((m) => m.frequency > 0).map((m) => ({ frequency: m.frequency, damping: m.dampingRatio > 0 ? m.dampingRatio : null, from: byTrain })) : [];
  const rung = (conduct?.events.events ?? []).flatMap((e) => e.ringDown?.modes ?? []).map((m) => ({ frequency: m.frequency.value, damping: m.dampingRatio.value, from: 'the ring-down' }));
  return [...computed, ...rung];
}

function crossingsOf(natural: Resonance['natural'], orders: readonly DriveOrder[], running: number): SpeedCrossings | null {
  const damped = natural.filter((n) => n.damping !== null);
  if (damped.length === 0) return null;
  return speedCrossings({ frequencies: damped.map((n) => n.frequency), damping: damped.map((n) => n.damping!), orders: [...new Set(orders.map((o) => o.order))], from: 0.05 * running, to: 2 * running, running });
}

/** A power of two near eight seconds, but at most an eighth of the stretch, and no longer than its longest run without a gap. */
function segmentFor(channel: Channel): number {
  const longest = validRuns(channel).reduce((most, run) => Math.max(most, run.to - run.from), 0);
  if (longest < shortestSegment) throw new InputError({ where: 'job', argument: 'recording.torque', expected: `a channel with at least ${shortestSegment} valid samples in a row`, given: `${longest} at the most`, remedy: 'Look at its masks.' });
  return 2 ** Math.floor(Math.log2(Math.min(8 * channel.sampleRate, Math.max(shortestSegment, channel.values.length / 8), longest)));
}

const shortestSegment = 16;
