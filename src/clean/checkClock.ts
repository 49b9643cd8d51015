import { InputError } from '../record/errors.js';

/**
 * Refuses stamps beside a counter that fall back by more than their own scatter (20 times the median of |step − period|,
 * and a period); the wild row is named. Small disorder is jitter, which the line through all stamps evens out.
 */
export function checkRising(where: string, seconds: Float64Array, period: number): void {
  const n = seconds.length;
  const refuse = (row: number, given: string, remedy: string): never => {
    throw new InputError({ where, argument: `stamps in row ${row}`, expected: 'later than in the rows before', given, remedy });
  };
  if (n < 2) throw new InputError({ where, argument: 'stamps', expected: 'given for two rows or more', given: `${n} row` });
  if (!(period > 0)) refuse(n - 1, `${seconds[n - 1]!} s after ${seconds[0]!} s in row 0, and most rows no later than the one before`, 'Check the unit and the column of the stamps, or leave them out.');
  const scatter = Float64Array.from({ length: n - 1 }, (_, i) => Math.abs(seconds[i + 1]! - seconds[i]! - period)).sort()[(n - 1) >> 1]!;
  const most = 20 * scatter + period;
  for (let i = 1; i < n; i++) {
    if (!(seconds[i - 1]! - seconds[i]! > most)) continue;
    if (i > 1 && seconds[i]! >= seconds[i - 2]! - most) refuse(i - 1, `${seconds[i - 1]!} s between ${seconds[i - 2]!} s and ${seconds[i]!} s`, 'Cut the row out, or leave stamps out.');
    if (i + 1 < n && seconds[i + 1]! >= seconds[i - 1]! - most) refuse(i, `${seconds[i]!} s between ${seconds[i - 1]!} s and ${seconds[i + 1]!} s`, 'Cut the row out, or leave stamps out.');
    refuse(i, `${seconds[i]!} s after ${seconds[i - 1]!} s`, 'Where stamps pass midnight, add a day to those after it.');
  }
}

/** Stamps that were counted from the rows that arrived do not jump where frames were lost: such are no clock. */
export function checkStampsFollow(where: string, place: Float64Array, seconds: Float64Array, count: Float64Array): void {
  const steps = Float64Array.from({ length: seconds.length - 1 }, (_, i) => seconds[i + 1]! - seconds[i]!).sort();
  const period = steps[steps.length >> 1]!;
  let gaps = 0, still = 0, restart = -1;
  for (let i = 1; i < place.length; i++) {
    const lost = place[i]! - place[i - 1]! - 1;
    if (lost < 2) continue;
    gaps++;
    if ((seconds[i]! - seconds[i - 1]!) / period >= 1 + lost / 2) continue;
    still++;
    if (count[i] === 0) restart = i;
  }
  if (gaps > 0 && 2 * still > gaps) {
    const remedy = restart < 0 ? 'They were counted from the rows: leave stamps out.' : `The counter started again at 0 in row ${restart}: cut the record there, or leave counter out.`;
    throw new InputError({ where, argument: 'stamps', expected: 'jumping where the counter shows lost frames', given: `stamps that run on in ${still} of ${gaps} gaps`, remedy });
  }
}

/** Refuses more than 20 frames a row (and 1000 more): such a record holds next to nothing, and its gaps would fill the memory. The longest gap is named. */
export function checkFrames(where: string, argument: string, place: Float64Array, seconds: Float64Array | null): void {
  const n = place.length;
  const frames = place[n - 1]! + 1;
  if (frames <= 20 * n + 1000) return;
  const { row, lost } = longestGap(place);
  const stamps = seconds === null ? '' : `, stamps ${seconds[row - 1]!} s and ${seconds[row]!} s`;
  throw new InputError({
    where, argument, expected: 'those of frames most of which arrived', given: `${n} rows for ${frames} frames, ${lost} of them lost between rows ${row - 1} and ${row}${stamps}`,
    remedy: argument === 'stamps' ? 'Check the stamps beside that gap, or cut the record there.' : `Check the modulus,${seconds === null ? '' : ' the stamps beside that gap,'} and that the counter did not start again.`,
  });
}

/** What in the places and residuals of a fitted clock a reader should look at. */
export function clockNotes(place: Float64Array, count: Float64Array | null, residuals: Float64Array | null, period: number): string[] {
  const notes: string[] = [];
  const { row, lost } = longestGap(place);
  if (lost > place.length) notes.push(`one gap, of ${lost} frames before row ${row}, is longer than all ${place.length} rows together: check it${count === null ? '' : ', and that the counter did not start again there'}`);
  for (let i = 1; count !== null && i < place.length; i++) {
    const gap = place[i]! - place[i - 1]! - 1;
    if (count[i] === 0 && gap >= 100) notes.push(`the counter reads 0 after a gap of ${gap} frames (row ${i}): if it started again there, they were never lost`);
  }
  if (residuals === null) return notes;
  const sizes = residuals.map(Math.abs);
  const worst = sizes.reduce((w, r, i) => (r > sizes[w]! ? i : w), 0);
  const typical = Float64Array.from(sizes).sort()[sizes.length >> 1]!;
  if (sizes[worst]! > 20 * typical + period) notes.push(`the stamp of row ${worst} lies ${residuals[worst]!.toPrecision(2)} s from the line through all, half of them within ${typical.toPrecision(2)} s: check it, the fitted rate leans on it`);
  return notes;
}

function longestGap(place: Float64Array): { readonly row: number; readonly lost: number } {
  let row = 0, lost = 0;
  for (let i = 1; i < place.length; i++) {
    const gap = place[i]! - place[i - 1]! - 1;
    if (gap > lost) [row, lost] = [i, gap];
  }
  return { row, lost };
}
