import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

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
 * A seeded generator (xoroshiro128+ from pure-rand). Normals by Marsaglia's polar method.
 *
 * @param seed a whole number
 * @example createRandom(7).uniform() === createRandom(7).uniform() // => true
 * @references G. Marsaglia and T. A. Bray, A convenient method for generating normal variables, SIAM Review 6 (1964) 260.
 */
export function createRandom(seed: number): Random {
  const generator = xoroshiro128plus(seed);
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
