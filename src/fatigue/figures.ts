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
    return withPower(rounded.toExponential(1));
  }
  return size < 100 ? rounded.toPrecision(2) : grouped(rounded);
}

/** A whole number with narrow spaces between thousands, at which no line breaks. @example grouped(12345) // => "12 345" */
export function grouped(value: number): string {
  return `${value < 0 ? '−' : ''}${spaced(Math.abs(value).toFixed(0))}`;
}

/** A decimal number that is written already, with narrow spaces between its thousands from four digits on. @example spaced('1234.5678') // => "1 234.5678" */
export function spaced(text: string): string {
  return text.replace(/^[-−]?\d{4,}(?=(?:\.\d+)?$)/, (whole) => whole.replace(/\B(?=(\d{3})+$)/g, '\u202f'));
}

/** What may stand behind a number as its unit; longer units begin with one of these. */
export const unitPattern = '(?:%|‰|°C|°F|°|dB|rpm|(?:k|M)?Hz|(?:k|M)?N·m|(?:k|M|G)?Pa|[kM]?W|k?J|m?V|k?N|k?g|lbf|psi|ksi|µ?strain|rad|deg|K|[µm]?s|min|h|years?|[µm]?m|cm|(?:closed )?cycles|samples|rows|draws|pulses|frames|revolutions)(?![\\p{L}\\d])';
const betweenThem = new RegExp(`(?<=[\\d⁰¹²³⁴-⁹∞]) (?=${unitPattern})|(?<=[±×]) (?=\\d)`, 'gu');
const largeNumber = new RegExp(`(?<![\\p{L}\\d.:/_-])\\d{4,}(?:\\.\\d+)?(?=(?: (?:to|and|±) [\\d.\\u202f]+)? ${unitPattern})`, 'gu');

const exponential = /(?<![\w.])[-−]?\d(?:\.\d+)?e[+-]\d+(?!\w)/g;

/** What toPrecision gives of a large or small number: plain below a million, else with a power of ten. */
function withoutE(text: string): string {
  const value = Number(text.replace('−', '-'));
  return Math.abs(value) >= 1e3 && Math.abs(value) < 1e6 ? spaced(String(value).replace('-', '−')) : withPower(text);
}

/** A text as a printer sets it: no number has an e, a number stays on one line with its unit, and where one follows it thousands are set apart. @example typeset('12345 N·m') // => "12\u202f345\u00a0N·m" */
export function typeset(text: string): string {
  return text.replace(exponential, withoutE).replace(largeNumber, spaced).replace(betweenThem, '\u00a0');
}

const raised = '⁰¹²³⁴⁵⁶⁷⁸⁹';

/** A power of ten as a reader writes it. @example powerOfTen(-3) // => "10⁻³" */
export function powerOfTen(exponent: number): string {
  return `10${exponent < 0 ? '⁻' : ''}${[...String(Math.abs(exponent))].map((d) => raised[Number(d)]).join('')}`;
}

/** What toExponential gives, as a reader writes it. @example withPower('-1.2e-5') // => "−1.2·10⁻⁵" */
export function withPower(exponential: string): string {
  const [digits, exponent] = exponential.split('e');
  return `${digits!.replace('-', '−')}·${powerOfTen(Number(exponent))}`;
}

/** A share in per cent with up to four figures. @example percent(0.9772) // => "97.72 %" */
export function percent(share: number): string {
  return `${Number((100 * share).toPrecision(4))} %`;
}
