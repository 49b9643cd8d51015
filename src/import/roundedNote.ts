/** From here on a double may stand for more than one whole number. */
const limit = 2 ** 53;

/**
 * What to say of whole numbers of 64 bits that are doubles now: how many lie at 2^53 or beyond, where double precision
 * rounds to even ones and further out more coarsely. Null where none does.
 *
 * @param factor, offset the linear conversion that the numbers have been through
 */
export function roundedNote(name: string, values: Float64Array, factor = 1, offset = 0): string | null {
  const most = limit * Math.abs(factor);
  let beyond = 0;
  for (let i = 0; i < values.length; i++) if (Math.abs(values[i]! - offset) >= most) beyond++;
  return beyond === 0 ? null : `${name}: ${beyond} of ${values.length} whole numbers lie at 2^53 or beyond, where double precision rounds them; store them as differences from the first if their last digits count`;
}
