import type { Continuation } from './LifeCurve.js';
import type { MeanStress } from './meanStress.js';

/** The rules and criteria by the names that options take. */
type RuleName = 'none' | Exclude<MeanStress, 'none'>['rule'];

/** What a reader calls the rules and criteria: the one list for reports, figures, tables and notes. */
const ruleNames: Readonly<Record<RuleName, string>> = {
  none: 'none', goodman: 'Goodman', gerber: 'Gerber', soderberg: 'Soderberg', 'asme-elliptic': 'ASME elliptic', morrow: 'Morrow', 'smith-watson-topper': 'Smith–Watson–Topper', walker: 'Walker',
};

/** A rule or criterion as a reader calls it. @example ruleName('asme-elliptic') // => "ASME elliptic" */
export function ruleName(rule: RuleName): string {
  return ruleNames[rule];
}

/** A mean-stress rule as a reader calls it. @example meanStressName({ rule: 'walker', exponent: 0.65 }) // => "Walker, γ = 0.65" */
export function meanStressName(meanStress: MeanStress): string {
  if (meanStress === 'none') return ruleNames.none;
  return meanStress.rule === 'walker' ? `${ruleNames.walker}, γ = ${Number(meanStress.exponent.toPrecision(4))}` : ruleNames[meanStress.rule];
}

/** What a reader calls the ways below the knee. */
const continuationNames: Readonly<Record<Continuation, string>> = { 'cut-off': 'cut-off', 'reduced-slope': 'reduced slope', 'same-slope': 'same slope' };

/** A way below the knee as a reader calls it. @example continuationName('reduced-slope') // => "reduced slope" */
export function continuationName(continuation: Continuation): string {
  return continuationNames[continuation];
}
