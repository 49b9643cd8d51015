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
  const span = spanText((life.hours * perHour) / interval.high, (life.hours * perHour) / interval.low, 'h');
  return `The record is too short to settle its damage rate, and the band holds ${heldText(band, 'it')}: `
    + `the ${percent(interval.level)} interval of the rate alone takes the life from ${span}. About ${twoFigures(settling.hoursNeeded)} h of the same duty would do; or let uncertainty.duty be "settled".`;
}

/**
 * What years by the duty leave out where the record is too short to settle its damage rate: they rest on the rates of the states as recorded, and the whole
 * record's spread is not that of its states, so that their band never holds it. Null where the record is long enough, or nothing does damage.
 */
export function unsettledYearsText({ settling }: DamageRates, band: LifeBandOptions<'shear'> | null): string | null {
  if (!settling || settling.verdict === 'long enough') return null;
  return `The record is too short to settle its damage rate, and the years rest on the rates of its states and starts as recorded${band ? `: their band holds ${heldText(band, 'that')}` : ''}. About ${twoFigures(settling.hoursNeeded)} h of the same duty would do.`;
}

/** What a band holds of a damage rate that is not settled. */
function heldText({ inputs: { duty } }: LifeBandOptions<'shear'>, it: string): string {
  return duty?.spread ? `only the stated spread of ${percent(duty.spread.deviation)} for ${it}` : 'nothing of that';
}
