import { checkChoice, checkList, checkNumber, checkOptions, checkResult } from '../record/check.js';
import { makeResult } from '../record/result.js';

/**
 * Where the gauges of a torsion bridge sit.
 * - two rosettes: two gauges at ±45° on one side of the shaft and two on the side opposite (four active arms)
 * - one rosette pair: all four at ±45° in one place
 * - half: one gauge at +45° and one at −45° in one place, in neighbouring arms
 * - opposite singles: a gauge at +45° on each of two opposite sides, in opposite arms
 * - quarter: one gauge at +45°
 */
export type BridgeLayout = 'two rosettes' | 'one rosette pair' | 'half' | 'opposite singles' | 'quarter';

/** What the shaft surface under the bridge sees besides torsion. Strains; compression negative. */
export interface SurfaceStrain {
  /** γ of torsion at the surface. */
  readonly shear: number;
  /** Along the shaft, from thrust. Default 0. */
  readonly axial?: number;
  /** Along the shaft at the first gauge position, from bending; its opposite on the other side. Default 0. */
  readonly bending?: number;
  /** Apparent strain of temperature, the same in every gauge. Default 0. */
  readonly thermal?: number;
}

/** Options of bridgeReading. */
export interface BridgeReadingOptions {
  readonly layout: BridgeLayout;
  readonly gaugeFactor: number;
  /** ν of the shaft. */
  readonly poissonsRatio: number;
  readonly strain: SurfaceStrain;
  /** Angle by which all gauges are turned, rad. Default 0. */
  readonly misalignment?: number;
}

/** What a bridge reads, and what of it is torsion. */
export interface BridgeReading {
  /** Exact output per supply, V/V. */
  readonly ratio: number;
  /** γ/2 that the reading is taken for, by the straight-line formula 4 r / (N K). */
  readonly strain: number;
  /** Reading over true γ/2, minus 1; null without torsion. */
  readonly error: number | null;
  /** Reading per unit of each strain near zero: 1 for half the shear and 0 for the others would be ideal. */
  readonly perHalfShear: number;
  readonly perAxial: number;
  readonly perBending: number;
  readonly perThermal: number;
  /** Exact reading minus the sum of those parts: what the bridge's own curvature adds. */
  readonly nonlinearity: number;
  readonly notes: readonly string[];
}

/** Arms around the bridge: direction (+1 for +45°, −1 for −45°, 0 for a fixed resistor) and side of the shaft (+1 or −1). */
const layouts: Readonly<Record<BridgeLayout, readonly (readonly [direction: number, side: number])[]>> = {
  'two rosettes': [[1, 1], [-1, 1], [1, -1], [-1, -1]],
  'one rosette pair': [[1, 1], [-1, 1], [1, 1], [-1, 1]],
  half: [[1, 1], [-1, 1], [0, 1], [0, 1]],
  'opposite singles': [[1, 1], [0, 1], [1, -1], [0, 1]],
  quarter: [[1, 1], [0, 1], [0, 1], [0, 1]],
};

/**
 * Finds the output of four arms exactly: r = R1/(R1 + R2) − R4/(R3 + R4).
 *
 * @param arms four resistances around the bridge, in one unit (relative to one another is enough)
 * @returns output per supply, V/V
 * @throws InputError for other than four resistances above 0
 * @example
 * bridgeRatio([1.001, 0.999, 1.001, 0.999]) // => 0.001
 * @references Wheatstone algebra, school knowledge.
 */
export function bridgeRatio(arms: readonly number[]): number {
  checkList('bridgeRatio', 'arms', arms, 'four resistances');
  checkNumber('bridgeRatio', 'arms.length', arms.length, { integer: true, min: 4, max: 4 });
  for (let i = 0; i < 4; i++) checkNumber('bridgeRatio', `arms[${i}]`, arms[i], { above: 0 });
  return checkResult('bridgeRatio', 'arms', { ratio: ratioOf(arms[0]!, arms[1]!, arms[2]!, arms[3]!) }).ratio;
}

function ratioOf(r1: number, r2: number, r3: number, r4: number): number {
  return r1 / (r1 + r2) - r4 / (r3 + r4);
}

/**
 * Finds what a torsion bridge reads when thrust, bending, temperature and misalignment join the torsion, and how much of it is torsion.
 *
 * Gauge at θ from the shaft axis: ε = εx (cos²θ − ν sin²θ) + (γ/2) sin 2θ + εT, with θ = ±45° + β and εx = axial ± bending by side. Arms 1 + K ε, output by exact algebra, read as
 * 4 r / (N K). Full and half bridges of neighbouring ±45° gauges cancel thrust, bending and temperature; turned by β they read −(1 + ν)/2 · sin 2β of the axial strain.
 *
 * @param options layout, gaugeFactor, poissonsRatio, strain; misalignment in rad
 * @returns exact ratio, strain read, error, cross-sensitivities, non-linearity, notes
 * @throws InputError for a layout or number that is none
 * @see bridgeStrain, torqueBudget
 * @example
 * const reading = bridgeReading({ layout: 'two rosettes', gaugeFactor: 2, poissonsRatio: 0.3, misalignment: (2 * Math.PI) / 180, strain: { shear: 0.001, axial: 0.0002 } });
 * reading.strain // => 0.000489645
 * @references Plane strain transformation (Mohr's circle) and Wheatstone algebra; J. W. Dally and W. F. Riley, Experimental Stress Analysis (from memory).
 */
export function bridgeReading(options: BridgeReadingOptions): BridgeReading {
  const where = 'bridgeReading';
  checkOptions(where, options, { required: ['layout', 'gaugeFactor', 'poissonsRatio', 'strain'], optional: ['misalignment'] });
  const layout = checkChoice(where, 'layout', options.layout, Object.keys(layouts) as BridgeLayout[]);
  checkNumber(where, 'gaugeFactor', options.gaugeFactor, { above: 0 });
  checkNumber(where, 'poissonsRatio', options.poissonsRatio, { above: -1, below: 0.5 });
  const beta = checkNumber(where, 'misalignment', options.misalignment ?? 0, { above: -Math.PI / 4, below: Math.PI / 4, unit: 'rad' });
  checkOptions(`${where}, strain`, options.strain, { required: ['shear'], optional: ['axial', 'bending', 'thermal'] });
  const { shear, axial = 0, bending = 0, thermal = 0 } = options.strain;
  [['shear', shear], ['axial', axial], ['bending', bending], ['thermal', thermal]].forEach(([name, value]) => checkNumber(where, `strain.${name}`, value, { above: -0.1, below: 0.1 }));
  const arms = layouts[layout].filter(([direction]) => direction !== 0).length;
  const read = (g: number, a: number, b: number, t: number): { ratio: number; strain: number } => {
    const strains = layouts[layout].map(([direction, side]) => {
      if (direction === 0) return 0;
      const theta = (direction * Math.PI) / 4 + beta;
      return (a + side * b) * (Math.cos(theta) ** 2 - options.poissonsRatio * Math.sin(theta) ** 2) + (g / 2) * Math.sin(2 * theta) + t;
    });
    const [r1, r2, r3, r4] = strains.map((e) => 1 + options.gaugeFactor * e) as [number, number, number, number];
    const ratio = ratioOf(r1, r2, r3, r4);
    return { ratio, strain: (4 * ratio) / (arms * options.gaugeFactor) };
  };
  const tiny = 1e-6;
  const slope = (g: number, a: number, b: number, t: number): number => {
    const value = (read(g, a, b, t).strain - read(-g, -a, -b, -t).strain) / (2 * tiny);
    return Math.abs(value) < 1e-9 ? 0 : value;
  };
  const [perHalfShear, perAxial, perBending, perThermal] = [slope(2 * tiny, 0, 0, 0), slope(0, tiny, 0, 0), slope(0, 0, tiny, 0), slope(0, 0, 0, tiny)];
  const { ratio, strain } = read(shear, axial, bending, thermal);
  const notes: string[] = [];
  if (perAxial !== 0) notes.push(`Thrust shows: ${perAxial.toPrecision(3)} of the axial strain is read as torsion.`);
  if (perBending !== 0) notes.push(`Bending shows, once a revolution: ${perBending.toPrecision(3)} of its strain is read as torsion.`);
  if (perThermal !== 0) notes.push(`Temperature shows: ${perThermal.toPrecision(3)} of the apparent strain is read as torsion.`);
  return makeResult('BridgeReading', checkResult(where, 'options', {
    ratio, strain, error: shear === 0 ? null : strain / (shear / 2) - 1, perHalfShear, perAxial, perBending, perThermal,
    nonlinearity: strain - (perHalfShear * shear / 2 + perAxial * axial + perBending * bending + perThermal * thermal), notes: Object.freeze(notes),
  }), (r) => `Bridge (${layout}) reads ${(r.strain * 1e6).toPrecision(5)} µm/m${r.error === null ? '' : `, ${(100 * r.error).toPrecision(2)} % off half the shear strain`}`);
}
