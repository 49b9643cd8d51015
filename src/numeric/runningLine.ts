/** Least-squares line t = a + T·k through points that come one by one (updated means and sums of products). */
export class RunningLine {
  n = 0;
  private meanK = 0;
  private meanT = 0;
  private skk = 0;
  private skt = 0;

  constructor(public period: number) {}

  add(k: number, t: number): void {
    this.n++;
    const dk = k - this.meanK;
    this.meanK += dk / this.n;
    this.meanT += (t - this.meanT) / this.n;
    this.skk += dk * (k - this.meanK);
    this.skt += dk * (t - this.meanT);
    if (this.n >= 8 && this.skt > 0) this.period = this.skt / this.skk;
  }

  /** The k at which the line passes t. */
  placeOf(t: number): number {
    return this.meanK + (t - this.meanT) / this.period;
  }
}

/** The line through the first stamps: placed step by step from where the clock was last seen, then twice again along the whole line; the first lies on 0. */
export function lineThrough(stamps: readonly number[], period: number): RunningLine {
  let line = new RunningLine(period);
  const rising: number[] = [];
  let k = 0;
  let clock = stamps[0] ?? NaN;
  for (const t of stamps) {
    if (!(t >= (rising.at(-1) ?? -Infinity))) break;
    rising.push(t);
    const step = Math.round((t - clock) / period);
    k += step;
    clock += step * period;
    clock += (t - clock) / Math.min(8, rising.length);
    line.add(k, t);
  }
  for (let again = 0; again < 2; again++) {
    const next = new RunningLine(line.period);
    const zero = rising.length > 0 ? Math.round(line.placeOf(rising[0]!)) : 0;
    for (const t of rising) next.add(Math.round(line.placeOf(t)) - zero, t);
    line = next;
  }
  return line;
}
