import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { mersenne } from 'pure-rand/generator/mersenne';

/** A seeded source of random numbers: the same seed gives the same numbers everywhere. */
export interface Random {
  /** Uniform on [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** A whole number, uniform on 0 ≤ i < count. */
  below(count: number): number;
}

/**
 * A seeded generator (the Mersenne twister MT19937 from pure-rand, whose seeding leaves neighbouring seeds unlike each other).
 * Normals by Marsaglia's polar method.
 *
 * @param seed a whole number
 * @example createRandom(7).uniform() === createRandom(7).uniform() // => true
 * @references M. Matsumoto and T. Nishimura, Mersenne twister: a 623-dimensionally equidistributed uniform pseudo-random number
 *   generator, ACM Transactions on Modeling and Computer Simulation 8 (1998) 3. G. Marsaglia and T. A. Bray, A convenient method for generating normal variables, SIAM Review 6 (1964) 260.
 */
export function createRandom(seed: number): Random {
  const generator = mersenne(seed);
  let spare = Number.NaN;
  const uniform = (): number => uniformFloat64(generator);
  const normal = (): number => {
    if (spare === spare) {
      const value = spare;
      spare = Number.NaN;
      return value;
    }
    let u = 0, v = 0, s = 0;
    do {
      u = 2 * uniform() - 1;
      v = 2 * uniform() - 1;
      s = u * u + v * v;
    } while (s >= 1 || s === 0);
    const scale = Math.sqrt((-2 * Math.log(s)) / s);
    spare = v * scale;
    return u * scale;
  };
  return { uniform, normal, below: (count) => Math.floor(uniform() * count) };
}
