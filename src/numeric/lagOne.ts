/** Lag-one correlation of deviations from a mean or a fit. */
export function lagOne(residuals: Float64Array): number {
  let product = 0, square = 0;
  for (let i = 0; i < residuals.length; i++) {
    square += residuals[i]! ** 2;
    if (i > 0) product += residuals[i]! * residuals[i - 1]!;
  }
  return square > 0 ? product / square : 0;
}
