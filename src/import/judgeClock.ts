import { FormatError } from '../record/errors.js';
import type { Span } from '../record/span.js';
import type { ClockReport, Event, Piece } from '../numeric/clockFitter.js';
import type { ReadOptions } from './options.js';

/** Where rows lie on the uniform clock of a channel. */
export interface ClockPlan {
  readonly sampleRate: number;
  readonly samples: number;
  /** null: row i is sample i. */
  readonly pieces: readonly Piece[] | null;
  readonly gaps: readonly Span[];
  readonly found: Readonly<Record<string, unknown>>;
}

/** Gives the one-based line of a row, where the file has lines. */
export type LineOf = (row: number) => Promise<number | null>;

/**
 * The plan that follows from the stamps, or the refusal with the way out.
 *
 * @throws FormatError for stamps that cannot be read, fall back, are doubled without a rule, or lie off the uniform clock
 */
export async function judgeClock(file: string, report: ClockReport, options: ReadOptions, lineOf: LineOf): Promise<ClockPlan> {
  await refuseOrder(file, report, options, lineOf);
  if (report.offClock || !(report.fittedRate > 0) || !Number.isFinite(report.fittedRate)) throw await offClock(file, report, lineOf);
  if (report.samples > 20 * report.rows + 1000) {
    throw new FormatError({
      file, found: `${report.rows} rows spread over ${report.samples} sample periods (longest interval ${digits(report.longest)} s)`, expected: 'a record that is mostly filled',
      remedy: `Split it with splitWhere: { gapLongerThan: ${digits(20 * report.typical)} } and block: 1.`,
    });
  }
  const whole = report.pieces.length === 1 && report.dropped === 0;
  const gaps = gapsBetween(report.pieces);
  return {
    sampleRate: report.sampleRate, samples: report.samples, pieces: whole ? null : report.pieces, gaps,
    found: {
      fittedRate: report.fittedRate, firstStamp: report.first, lastStamp: report.last, rmsJitter: report.rmsJitter, maxJitter: report.maxJitter, gaps: gaps.length,
      ...(gaps.some((g) => Math.abs((g.to - g.from) / report.sampleRate - 3600) <= 2 / report.sampleRate) ? { note: 'a gap of one hour, as the beginning of daylight saving makes in local time' } : {}),
      lostSamples: gaps.reduce((n, g) => n + g.to - g.from, 0), doubledStamps: report.doubled?.count ?? 0, droppedRows: report.dropped,
    },
  };
}

/** Refuses stamps that are missing, run back or are doubled; these hinder every use of them. */
export async function refuseOrder(file: string, report: ClockReport, options: ReadOptions, lineOf: LineOf): Promise<void> {
  if (report.rows < 2) {
    throw new FormatError({ file, found: `${report.rows} row${report.rows === 1 ? '' : 's'}`, expected: 'at least two time stamps', remedy: 'Give sampleRate if the file states none.' });
  }
  if (report.unreadable) {
    throw new FormatError({
      file, line: await lineOf(report.unreadable.row), found: `${times(report.unreadable)}a missing time stamp`, expected: 'a time in every row',
      remedy: 'Complete it, or give sampleRate (Hz) if the rows are evenly spaced all the same.',
    });
  }
  if (report.fallsBack) {
    const { count, row, before, at } = report.fallsBack;
    throw new FormatError({
      file, line: await lineOf(row), found: `time falling back from ${digits(before)} s to ${digits(at)} s${count > 1 ? `, the first of ${count} times` : ''}`, expected: 'time that only rises',
      remedy: `${whyBack(before - at, 2 * report.typical)}If the file holds ${count + 1} recordings one after another, read one with splitWhere: 'time falls back' and block: 1, or all with readRecordings; if the rows are evenly spaced all the same, give sampleRate (Hz).`,
    });
  }
  if (report.doubled && options.onDoubledStamp === undefined) {
    const { count, row, at } = report.doubled;
    throw new FormatError({
      file, line: await lineOf(row), found: `the stamp ${digits(at)} s twice${count > 1 ? `, the first of ${count} times` : ''}`, expected: 'a new time in every row',
      remedy: "State onDoubledStamp: 'nearest free sample' (the row was stamped late or early), 'keep first' or 'keep last' (it was written twice), or give sampleRate (Hz) if all rows are evenly spaced.",
    });
  }
}

/** What sets a clock back by this many seconds, more or less. */
function whyBack(seconds: number, slack: number): string {
  if (Math.abs(seconds - 3600) <= slack) return 'An hour back is what the end of daylight saving does to local time: write the times in UTC. ';
  return Math.abs(seconds - 86400) <= slack ? 'A day back is what midnight does to a time of day: write the date too, or count on. ' : '';
}

async function offClock(file: string, report: ClockReport, lineOf: LineOf): Promise<FormatError> {
  const event = report.offClock;
  const rate = Number((1 / report.typical).toPrecision(2));
  return new FormatError({
    file, line: event ? await lineOf(event.row) : null,
    found: `intervals from ${digits(report.shortest)} s to ${digits(report.longest)} s${event ? ` (${event.count} of ${report.rows} stamps are off a uniform clock, by up to ${digits(event.worst)} periods)` : ''}`,
    expected: 'stamps on a uniform clock',
    remedy: `Interpolate linearly in time with resampleTo: { sampleRate: ${rate} } (or another rate), allow more with maxJitter (at most 0.5), or give sampleRate (Hz) if the rows are evenly spaced all the same.`,
  });
}

/** Masked spans between the pieces. */
function gapsBetween(pieces: readonly Piece[]): Span[] {
  const gaps: Span[] = [];
  for (let i = 1; i < pieces.length; i++) {
    const end = pieces[i - 1]!.sample + pieces[i - 1]!.rows;
    if (pieces[i]!.sample > end) gaps.push({ from: end, to: pieces[i]!.sample, why: 'clock gap' });
  }
  return gaps;
}

/** Values of rows at their places; samples without a row are NaN. The same array where nothing moves. */
export function placeRows(values: Float64Array, plan: ClockPlan): Float64Array {
  if (plan.pieces === null) return values;
  const placed = new Float64Array(plan.samples).fill(NaN);
  for (const { row, rows, sample } of plan.pieces) placed.set(values.subarray(row, row + rows), sample);
  return placed;
}

/** Spans of rows as spans of samples. */
export function placeSpans(spans: readonly Span[], plan: ClockPlan): readonly Span[] {
  if (plan.pieces === null) return spans;
  return spans.flatMap((span) => plan.pieces!.flatMap(({ row, rows, sample }) => {
    const from = Math.max(span.from, row);
    const to = Math.min(span.to, row + rows);
    return from < to ? [{ from: sample + from - row, to: sample + to - row, why: span.why }] : [];
  }));
}

function times(event: Event): string {
  return event.count > 1 ? `${event.count} times, first here, ` : '';
}

function digits(x: number): string {
  return String(Number(x.toPrecision(6)));
}
