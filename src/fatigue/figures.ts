/**
 * A number with two significant figures, as a reader would write it; thousands are set apart by a narrow space at which no line breaks.
 *
 * @example
 * twoFigures(12345) // => "12 000"
 * twoFigures(3.2e8) // => "3.2·10⁸"
 * twoFigures(Infinity) // => "without end"
 */
export function twoFigures(value: number): string {
  if (value === 0) return '0';
  if (!Number.isFinite(value)) return value > 0 ? 'without end' : String(value);
  const rounded = Number(value.toPrecision(2));
  const size = Math.abs(rounded);
  if (size >= 1e6 || (size < 1e-3 && size > 0)) {
    const [mantissa, exponent] = rounded.toExponential(1).split('e');
    return `${mantissa}·10${superscript(Number(exponent))}`;
  }
  if (size < 100) return rounded.toPrecision(2);
  return size < 1e4 ? String(rounded) : grouped(rounded);
}

/** A whole number with narrow spaces between thousands, at which no line breaks. @example grouped(12345) // => "12 345" */
export function grouped(value: number): string {
  return `${value < 0 ? '−' : ''}${Math.abs(value).toFixed(0).replace(/\B(?=(\d{3})+$)/g, '\u202f')}`;
}

function superscript(exponent: number): string {
  return [...String(exponent)].map((c) => (c === '-' ? '⁻' : '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(c)]!)).join('');
}

/** A share in per cent with up to four figures. @example percent(0.9772) // => "97.72 %" */
export function percent(share: number): string {
  return `${Number((100 * share).toPrecision(4))} %`;
}
