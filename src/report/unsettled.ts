import { twoFigures } from '../fatigue/figures.js';
import type { Life } from '../fatigue/life.js';
import type { LifeBandOptions } from '../fatigue/lifeBand.js';
import { percent, spanText } from './numbers.js';
import type { DamageRates } from './rates.js';

/**
 * What a band of lives leaves out where the record is too short to settle its damage rate and the band is not drawn from what the record allows: how far
 * the interval of the rate alone takes the life. Null where the record is long enough, or the band holds it.
 */
export function unsettledText(life: Life, { settling }: DamageRates, band: LifeBandOptions<'shear'> | null): string | null {
  if (!band || !settling || settling.verdict === 'long enough' || band.inputs.duty?.settled) return null;
  const { perHour, interval } = settling;
  const spread = band.inputs.duty?.spread;
  const span = spanText((life.hours * perHour) / interval.high, (life.hours * perHour) / interval.low, 'h');
  return `The record is too short to settle its damage rate, and the band holds ${spread ? `only the stated spread of ${percent(spread.deviation)} for it` : 'nothing of that'}: `
    + `the ${percent(interval.level)} interval of the rate alone takes the life from ${span}. About ${twoFigures(settling.hoursNeeded)} h of the same duty would do; or let uncertainty.duty be "settled".`;
}
