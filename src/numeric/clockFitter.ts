import { lineThrough, RunningLine } from './runningLine.js';
import { roundRate } from './roundRate.js';

/** Rows that follow each other without a break on the uniform clock: row + i lies on sample + i. */
export interface Piece {
  readonly row: number;
  readonly rows: number;
  readonly sample: number;
}

/** What time stamps say about the clock they were taken from. Times in seconds, rows from 0. */
export interface ClockReport {
  readonly rows: number;
  readonly first: number;
  readonly last: number;
  readonly shortest: number;
  readonly longest: number;
  /** Median of the first intervals that are above zero. */
  readonly typical: number;
  readonly unreadable: Event | null;
  readonly fallsBack: Event | null;
  readonly doubled: Event | null;
  /** Rows farther from their place on the clock than was allowed. */
  readonly offClock: Event | null;
  /** Fitted by least squares of stamp against sample number. */
  readonly fittedRate: number;
  /** The roundest rate that the stamps do not contradict. */
  readonly sampleRate: number;
  readonly rmsJitter: number;
  readonly maxJitter: number;
  readonly pieces: readonly Piece[];
  readonly samples: number;
  /** Rows left out because they carry the stamp of a neighbour. */
  readonly dropped: number;
}

/** Something that occurs at rows: how often, and the first of them with the stamps before and at it. */
export interface Event {
  readonly count: number;
  readonly row: number;
  readonly before: number;
  readonly at: number;
  /** The worst case, in sample periods (off the clock only). */
  readonly worst: number;
}

/** What to do with two rows of one stamp. */
export type DoubledRule = 'nearest free sample' | 'keep first' | 'keep last';

const warmUp = 256;

/**
 * Lays time stamps on a uniform clock, one pass, in constant memory save for one entry a gap.
 *
 * Each stamp t is given the whole number k nearest to (t − a)/T, where a + T·k is the running least-squares line
 * through the stamps before it; T starts as the median of the first 256 intervals. A jump of k by more than one is a
 * gap. The rate is the roundest number (fewest digits, of the rate or of the period) that differs from the fitted one
 * over the whole record by no more than twice the largest jitter and a thousandth of a period; where there is none, the fitted one.
 */
export class ClockFitter {
  private readonly allowed: number;
  private readonly rule: DoubledRule;
  private early: number[] = [];
  private warm = false;
  private broken = false;
  private rows = 0;
  private first = NaN;
  private previous = NaN;
  private shortest = Infinity;
  private longest = 0;
  private typical = NaN;
  private unreadable: Event | null = null;
  private fallsBack: Event | null = null;
  private doubled: Event | null = null;
  private offClock: Event | null = null;
  private line = new RunningLine(NaN);
  /** The line through the first rows, by which they are placed themselves. */
  private firstLine: RunningLine | null = null;
  private squares = 0;
  private worst = 0;
  // the last row, not yet laid down, and the sample of the one before it
  private heldRow = -1;
  private heldSample = -1;
  private laid = -1;
  private dropped = 0;
  private readonly pieces: { row: number; rows: number; sample: number }[] = [];

  constructor(options: { readonly maxJitter?: number; readonly onDoubledStamp?: DoubledRule } = {}) {
    this.allowed = options.maxJitter ?? 0.25;
    this.rule = options.onDoubledStamp ?? 'nearest free sample';
  }

  /** Takes the next stamps, in seconds. */
  push(stamps: ArrayLike<number>, from = 0, to: number = stamps.length): void {
    for (let i = from; i < to; i++) this.take(stamps[i]!);
  }

  /** The findings. */
  finish(): ClockReport {
    if (!this.warm) this.start();
    if (this.heldRow >= 0) this.lay(this.heldRow, this.heldSample);
    const lastSample = this.laid;
    const { period, n } = this.line;
    const fittedRate = 1 / period;
    const rms = n > 0 ? Math.sqrt(this.squares / n) : 0;
    return {
      rows: this.rows, first: this.first, last: this.previous, shortest: this.shortest, longest: this.longest, typical: this.typical,
      unreadable: this.unreadable, fallsBack: this.fallsBack, doubled: this.doubled, offClock: this.offClock,
      fittedRate, sampleRate: roundRate(fittedRate, lastSample, Math.min(this.allowed, 2 * this.worst + 1e-3)), rmsJitter: rms * period, maxJitter: this.worst * period,
      pieces: this.pieces, samples: lastSample + 1, dropped: this.dropped,
    };
  }

  private take(t: number): void {
    const row = this.rows++;
    if (row === 0) this.first = t;
    const dt = t - this.previous;
    if (!Number.isFinite(t)) {
      this.unreadable = seen(this.unreadable, row, this.previous, t, 0);
      this.broken = true;
    } else if (dt < 0) {
      this.fallsBack = seen(this.fallsBack, row, this.previous, t, 0);
      this.broken = true;
    } else if (dt === 0) {
      this.doubled = seen(this.doubled, row, this.previous, t, 0);
    }
    if (dt >= 0) {
      if (dt < this.shortest) this.shortest = dt;
      if (dt > this.longest) this.longest = dt;
    }
    this.previous = t;
    if (this.warm) {
      if (!this.broken) this.place(row, t, dt);
    } else {
      this.early.push(t);
      if (this.early.length === warmUp) this.start();
    }
  }

  /** The first intervals give a first period; then the rows that waited are placed. */
  private start(): void {
    this.warm = true;
    const steps: number[] = [];
    for (let i = 1; i < this.early.length; i++) {
      const dt = this.early[i]! - this.early[i - 1]!;
      if (dt > 0) steps.push(dt);
    }
    steps.sort((a, b) => a - b);
    this.typical = steps[steps.length >> 1] ?? NaN;
    const waiting = this.early;
    this.early = [];
    // Errors of neighbouring stamps cancel in the sum of the short intervals.
    let whole = 0, time = 0;
    for (const dt of steps) {
      if (dt > 3.5 * this.typical) break;
      whole += Math.round(dt / this.typical);
      time += dt;
    }
    const period = whole > 0 ? time / whole : this.typical;
    this.line = new RunningLine(period);
    this.firstLine = lineThrough(waiting, period);
    let before = NaN;
    for (let row = 0; row < waiting.length; row++) {
      const t = waiting[row]!;
      if (!Number.isFinite(t) || t < before) break;
      this.place(row, t, t - before);
      before = t;
    }
    this.firstLine = null;
  }

  private place(row: number, t: number, dt: number): void {
    if (this.heldRow < 0) {
      this.heldRow = row;
      this.heldSample = 0;
      this.line.add(0, t);
      return;
    }
    if (dt === 0) {
      this.placeDoubled(row);
      return;
    }
    const exact = (this.firstLine ?? this.line).placeOf(t);
    let k = Math.round(exact);
    const miss = Math.abs(exact - k);
    if (k <= this.heldSample || miss > this.allowed) {
      const off = Math.max(miss, this.heldSample + 1 - exact);
      this.offClock = seen(this.offClock, row, t - dt, t, off);
      if (k <= this.heldSample) k = this.heldSample + 1;
    } else {
      this.squares += miss * miss;
      if (miss > this.worst) this.worst = miss;
    }
    this.hold(row, k);
    this.line.add(k, t);
  }

  private placeDoubled(row: number): void {
    if (this.rule === 'keep first') {
      this.dropped++;
      return;
    }
    if (this.rule === 'keep last') {
      this.dropped++;
      this.heldRow = row;
      return;
    }
    if (this.heldSample - 1 > this.laid && this.heldSample > 0) {
      this.heldSample--;
      this.hold(row, this.heldSample + 1);
    } else {
      this.hold(row, this.heldSample + 1);
    }
  }

  private hold(row: number, sample: number): void {
    this.lay(this.heldRow, this.heldSample);
    this.heldRow = row;
    this.heldSample = sample;
  }

  private lay(row: number, sample: number): void {
    const last = this.pieces.at(-1);
    if (last && last.row + last.rows === row && last.sample + last.rows === sample) last.rows++;
    else this.pieces.push({ row, rows: 1, sample });
    this.laid = sample;
  }
}

function seen(event: Event | null, row: number, before: number, at: number, worst: number): Event {
  return event ? { ...event, count: event.count + 1, worst: Math.max(event.worst, worst) } : { count: 1, row, before, at, worst };
}
