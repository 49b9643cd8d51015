/** The roundest rate (or the rate of a period of at most four digits) that stays within `room` sample periods of the fitted one over the whole record. */
export function roundRate(fitted: number, lastSample: number, room: number): number {
  if (!Number.isFinite(fitted) || lastSample < 1 || room <= 0) return fitted;
  for (let digits = 1; digits <= 12; digits++) {
    const rate = Number(fitted.toPrecision(digits));
    if (Math.abs(rate / fitted - 1) * lastSample <= room) return rate;
    const byPeriod = 1 / Number((1 / fitted).toPrecision(digits));
    if (digits <= 4 && Math.abs(byPeriod / fitted - 1) * lastSample <= room) return byPeriod;
  }
  return fitted;
}
