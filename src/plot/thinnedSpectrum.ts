const columns = 580;

/** Of every column of pixels the indices of the least and the greatest value, in order of frequency. */
export function thinnedSpectrum(frequency: Float64Array, values: Float64Array, low: number, high: number, log: boolean): number[] {
  const columnOf = (f: number): number => Math.floor(columns * (log ? Math.log(f / low) / Math.log(high / low) : (f - low) / (high - low)));
  const kept: number[] = [];
  let least = -1;
  let greatest = -1;
  let column = -1;
  const flush = (): void => {
    if (least >= 0) kept.push(...(least === greatest ? [least] : least < greatest ? [least, greatest] : [greatest, least]));
  };
  for (let i = 0; i < frequency.length; i++) {
    const f = frequency[i]!;
    if (f < low || f > high) continue;
    const now = columnOf(f);
    if (now !== column) {
      flush();
      column = now;
      least = greatest = i;
    } else {
      if (values[i]! < values[least]!) least = i;
      if (values[i]! > values[greatest]!) greatest = i;
    }
  }
  flush();
  return kept;
}
