// Tarn Weir pumping station, pump 2: an invented plant. Every number of it stands here, once; nothing else in
// sample-runs/ holds a physical constant of the plant or of its measuring chain.
//
// The train: converter-fed motor – high-speed coupling – single-stage gearbox – line shaft – mixed-flow pump.
// The gauges sit on the line shaft. All rotating parts are referred to the line shaft (inertia and stiffness of the motor
// side times the ratio squared), so that one set of speeds serves.
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';

const youngs = 206e9;
const poisson = 0.3;
const shear = youngs / (2 * (1 + poisson));
const diameter = 0.09;
const length = 5.2;
const couplingStiffness = 900e3;
const wheelTeeth = 71;
const pinionTeeth = 18;
const ratio = wheelTeeth / pinionTeeth;
const shaftStiffness = (shear * Math.PI * diameter ** 4) / (32 * length);

/** The plant. SI units; referred to the line shaft unless the name says otherwise. */
export const plant = Object.freeze({
  name: 'Tarn Weir pumping station, pump 2',
  ratedPower: 252e3,
  /** Line-shaft speed at the rated point, rad/s (376 rpm; the motor turns at 1483 rpm). */
  ratedSpeed: (376 * Math.PI) / 30,
  gear: Object.freeze({ pinionTeeth, wheelTeeth, ratio }),
  pump: Object.freeze({ blades: 5 }),
  steel: Object.freeze({ name: '42CrMo4, quenched and tempered (invented certificate)', youngs, poisson, shear, yield: 650e6, tensile: 900e6 }),
  shaft: Object.freeze({ diameter, length, keyway: 'sled-runner keyway at the pump coupling', notchFactor: 1.6 }),
  /** kg·m²: motor rotor and coupling (4.6 at the motor), gear wheel and pinion, impeller with entrained water. */
  inertia: Object.freeze({ motor: 4.6 * ratio ** 2, gear: 4, pump: 45 }),
  /** N·m/rad: high-speed coupling (45 kN·m/rad at the motor); line shaft in series with its two couplings. */
  stiffness: Object.freeze({ motorShaft: 45e3 * ratio ** 2, lineShaft: 1 / (1 / shaftStiffness + 1 / couplingStiffness) }),
  /** N·m·s/rad, beside each spring. */
  damping: Object.freeze({ motorShaft: 30, lineShaft: 26 }),
  /** Dry friction of bearings and glands, N·m, and the speed at which it is fully there, rad/s. */
  friction: Object.freeze({ motor: 40, gear: 30, pump: 120, knee: 0.02 }),
  /** The water answers a change of speed late: its flow follows with this time constant, s. */
  waterLag: 0.7,
  /** Pump torque at rated speed with the valve fully open, N·m; it goes with speed squared. */
  pumpTorque: 6220,
  /** Torque per revolution of the line shaft, as shares of the pump torque: imbalance (1), blade pass (5), motor shaft (ratio). */
  orders: Object.freeze([
    Object.freeze({ order: 1, share: 0.008, phase: 0.4 }),
    Object.freeze({ order: 5, share: 0.02, phase: 1.1 }),
    Object.freeze({ order: ratio, share: 0.004, phase: 2.3 }),
  ]),
  /** Turbulence: standard deviation as a share of the pump torque, and its bandwidth, Hz. */
  turbulence: Object.freeze({ share: 0.02, bandwidth: 30 }),
  /** After a trip the non-return valve shuts within that time, s, and leaves this share of the load (the impeller churns). */
  nonReturn: Object.freeze({ seconds: 0.8, share: 0.12 }),
  /**
   * Converter: slow speed control over 0.8 of the pump curve fed forward (gain N·m·s/rad, integral N·m/rad), so soft that it leaves the
   * torsional modes alone; torque limit as a multiple of the rated torque, which is also its breakaway boost; response of the torque, s.
   */
  drive: Object.freeze({ gain: 320, integral: 90, speedLag: 0.3, torqueLag: 0.008, limit: 1.6, ratedTorque: 6400, boost: 0.2, ramp: 3 }),
  /** The barring gear holds its speed: N·m·s/rad, N·m/rad. */
  barring: Object.freeze({ gain: 5000, integral: 8000 }),
});

/** The measuring chain on the line shaft. */
export const chain = Object.freeze({
  /** Full torsion bridge, four active grids at ±45°. */
  gaugeFactor: 2.08,
  activeArms: 4,
  /** V, and V out per V in, where the recorder stores volts. */
  excitation: 5,
  gain: 1000,
  /** N·m that the chain was laid out for; errors are stated as shares of it. */
  fullScaleTorque: 15000,
  /** Noise of bridge and radio, mV/V rms; smallest step of the recorder, mV/V. */
  noise: 3e-4,
  step: 1e-4,
  /** Speed: noise, rpm rms while turning; smallest step, rpm. */
  speedNoise: 0.15,
  speedStep: 0.1,
});

/**
 * mV/V per N·m of line-shaft torque: 1000 · k · (arms/4) · ε, with ε = T·16/(π d³) / (2 G) at 45° on a solid shaft (torsion of
 * a circular shaft, school knowledge; a full torsion bridge of ±ε is linear without remainder).
 */
export const bridgePerTorque = (1000 * chain.gaugeFactor * (chain.activeArms / 4) * 16) / (Math.PI * diameter ** 3 * 2 * shear);

/** Nominal shear stress at the surface per N·m, Pa. */
export const stressPerTorque = 16 / (Math.PI * diameter ** 3);

/**
 * Torsional modes of the free train without water and dry friction: eigenvalues λ = −ζω ± iω√(1 − ζ²) of the state matrix.
 * frequency is |Im λ|/2π, the one a ring-down shows; damping is ζ.
 *
 * @returns {{ frequency: number, damping: number }[]} lowest first, without the rigid-body turn
 */
export function freeModes(p = plant) {
  const inertia = [p.inertia.motor, p.inertia.gear, p.inertia.pump];
  const laplace = (first, second) => [[first, -first, 0], [-first, first + second, -second], [0, -second, second]];
  const k = laplace(p.stiffness.motorShaft, p.stiffness.lineShaft);
  const c = laplace(p.damping.motorShaft, p.damping.lineShaft);
  const state = Matrix.zeros(6, 6);
  for (let i = 0; i < 3; i++) {
    state.set(i, i + 3, 1);
    for (let j = 0; j < 3; j++) {
      state.set(i + 3, j, -k[i][j] / inertia[i]);
      state.set(i + 3, j + 3, -c[i][j] / inertia[i]);
    }
  }
  const { realEigenvalues: re, imaginaryEigenvalues: im } = new EigenvalueDecomposition(state);
  return re.map((real, i) => ({ frequency: im[i] / (2 * Math.PI), damping: -real / Math.hypot(real, im[i]) }))
    .filter((mode) => mode.frequency > 0.1).sort((a, b) => a.frequency - b.frequency);
}
