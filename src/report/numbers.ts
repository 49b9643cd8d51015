import { twoFigures, withPower } from '../fatigue/figures.js';

/** An interval of lives or years; its upper end is open where the load may do no damage at all, and both ends where it hardly ever does. */
export function spanText(low: number, high: number, unit: string): string {
  if (low === Number.POSITIVE_INFINITY) return 'without end';
  return high === Number.POSITIVE_INFINITY ? `${twoFigures(low)} ${unit} and more, without an upper end` : `${twoFigures(low)} to ${twoFigures(high)} ${unit}`;
}

/** Four figures, without a power of ten where none is needed. */
export function plain(value: number): string {
  return Math.abs(value) >= 1e4 && Math.abs(value) < 1e6 ? String(Number(value.toPrecision(4))) : value.toPrecision(4);
}

/** A share in per cent, two figures; what is next to nothing is said so. */
export function percent(share: number, figures = 2): string {
  if (share !== 0 && Math.abs(share) < 5e-5) return 'below 0.01 %';
  return `${share < 0 ? '−' : ''}${Number((100 * Math.abs(share)).toPrecision(figures))} %`;
}

/** A number of any size, three figures: 0.0123, or 1.23·10⁻⁵. */
export function scientific(value: number, figures = 3): string {
  if (value === 0) return '0';
  const power = Math.floor(Math.log10(Math.abs(value)));
  if (power >= -2 && power < 4) return value.toPrecision(figures);
  return withPower(value.toExponential(figures - 1));
}

/** A mean that noise alone may move: as many decimals as a reader wants, and no figures of noise. */
export function steady(value: number, decimals: number): string {
  const text = Math.abs(value) >= 10 ** (3 - decimals) ? plain(value) : value.toFixed(decimals);
  return text.replace(/^-(0(?:\.0+)?)$/, '$1').replace('-', '−');
}

/** A ratio with three figures. */
export function ratio(value: number): string {
  return value === Number.POSITIVE_INFINITY ? '∞' : String(Number(value.toPrecision(3)));
}

/** A sentence that begins with a capital. */
export function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/** rad/s as rpm, so many figures. */
export function inRpm(speed: number, figures = 3): string {
  return ((speed * 30) / Math.PI).toPrecision(figures);
}
