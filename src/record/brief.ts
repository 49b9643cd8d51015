/**
 * A number in so many figures, without a power of ten where a person would write none.
 *
 * @example
 * brief(314.2) // => "310"
 * brief(0.03142) // => "0.031"
 */
export function brief(value: number, figures: number = 2): string {
  return String(Number(value.toPrecision(figures)));
}
