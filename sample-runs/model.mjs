// The lumped torsional model of Tarn Weir pump 2 and its integration.
import { createRandom } from 'quillshaft';
import { plant as tarnWeir } from './tarn-weir.mjs';

/**
 * What drives the train at a time t, s. Everything is optional in a script; see `still`.
 *
 * @typedef {object} Duty
 * @property {'off' | 'boost' | 'converter' | 'barring'} drive off = no motor torque at all; boost = at the torque limit
 * @property {number} target line-shaft speed wanted, rad/s (negative = backwards)
 * @property {number} valve opening of the discharge valve as a share of the rated pump torque
 * @property {number} turbulence multiple of the plant's turbulence
 * @property {number} torque further torque on the impeller, N·m (debris, surges), positive = braking
 */
/**
 * What the model reads of a plant; see plant in tarn-weir.mjs.
 *
 * @typedef {object} Train
 * @property {{ motor: number, gear: number, pump: number }} inertia
 * @property {{ motorShaft: number, lineShaft: number }} stiffness
 * @property {{ motorShaft: number, lineShaft: number }} damping
 * @property {{ motor: number, gear: number, pump: number, knee: number }} friction
 * @property {number} waterLag
 * @property {number} pumpTorque
 * @property {number} ratedSpeed
 * @property {readonly { order: number, share: number, phase: number, torque?: number }[]} orders share of the water's torque, and N·m that act whatever the load while the shaft turns
 * @property {{ share: number, bandwidth: number }} turbulence
 * @property {{ gain: number, integral: number, speedLag: number, torqueLag: number, limit: number, ratedTorque: number, boost: number, ramp: number }} drive
 * @property {{ gain: number, integral: number }} barring
 */
/** @type {Duty} */
export const still = Object.freeze({ drive: 'off', target: 0, valve: 1, turbulence: 1, torque: 0 });

/**
 * Integrates the train with the classical fourth-order Runge–Kutta method; drive torque, turbulence and orders are held over a step.
 *
 * State: twist of motor shaft and of line shaft, speeds of motor, gear and pump, speed that the water has followed to, angle of
 * the line shaft at the gauges.
 *
 * @param {object} run
 * @param {number} run.seconds length
 * @param {number} run.sampleRate Hz, of what comes back
 * @param {number} run.substeps integration steps per sample
 * @param {number} run.seed of the turbulence
 * @param {(t: number) => Duty} run.duty
 * @param {Train} [run.plant]
 * @param {number[]} [run.state] state to begin with
 * @returns {{ torque: Float64Array, speed: Float64Array, angle: Float64Array, motorPower: Float64Array, state: number[] }} N·m in the line shaft at the gauges, rad/s and rad of the gear wheel, W at the motor
 */
export function simulate({ seconds, sampleRate, substeps, seed, duty, plant = tarnWeir, state = [0, 0, 0, 0, 0, 0, 0] }) {
  const samples = Math.round(seconds * sampleRate);
  const torque = new Float64Array(samples);
  const speed = new Float64Array(samples);
  const angle = new Float64Array(samples);
  const motorPower = new Float64Array(samples);
  const h = 1 / (sampleRate * substeps);
  const force = makeForces(plant, h, createRandom(seed));
  const step = makeStep(plant, h);
  const y = Float64Array.from(state);
  for (let i = 0; i < samples; i++) {
    torque[i] = plant.stiffness.lineShaft * y[1] + plant.damping.lineShaft * (y[3] - y[4]);
    speed[i] = y[3];
    angle[i] = y[6];
    motorPower[i] = force.motor * y[2];
    for (let j = 0; j < substeps; j++) {
      force.update(duty((i * substeps + j) * h), y);
      step(y, force);
    }
  }
  return { torque, speed, angle, motorPower, state: [...y] };
}

/** Motor torque and the parts of the pump torque that are held over one step. */
function makeForces(plant, h, random) {
  const { drive, orders, turbulence } = plant;
  const fade = Math.exp(-2 * Math.PI * turbulence.bandwidth * h);
  const kick = turbulence.share * Math.sqrt(1 - fade * fade);
  const follow = 1 - Math.exp(-h / drive.torqueLag);
  const seen = 1 - Math.exp(-h / drive.speedLag);
  const law = plant.pumpTorque / plant.ratedSpeed ** 2;
  let noise = 0, integral = 0, smooth = 0, before = 'off';
  const force = { motor: 0, ripple: 0, valve: 1, extra: 0, update };
  function update(now, y) {
    noise = noise * fade + kick * random.normal();
    smooth += (y[2] - smooth) * seen;
    if (now.drive !== before) {
      integral = 0;
      smooth = y[2];
      before = now.drive;
    }
    if (now.drive === 'off') force.motor = 0;
    else if (now.drive === 'boost') force.motor += (drive.limit * drive.ratedTorque - force.motor) * follow;
    else {
      const control = now.drive === 'barring' ? plant.barring : drive;
      const error = now.target - (now.drive === 'barring' ? y[2] : smooth);
      const limit = drive.limit * drive.ratedTorque;
      const asked = control.gain * error + integral + 0.8 * law * Math.abs(now.target) * now.target;
      const given = Math.min(limit, Math.max(-limit, asked));
      if (asked === given) integral += control.integral * error * h;
      force.motor += (given - force.motor) * follow;
    }
    let ripple = noise * now.turbulence;
    let always = 0;
    for (const { order, share, phase, torque = 0 } of orders) {
      const wave = Math.sin(order * y[6] + phase);
      ripple += share * wave;
      always += torque * wave;
    }
    force.ripple = ripple;
    force.valve = now.valve;
    force.extra = now.torque + (always * y[3] * y[3]) / (1 + y[3] * y[3]);
  }
  return force;
}

/** One Runge–Kutta step in place. */
function makeStep(plant, h) {
  const { inertia, stiffness, damping, friction } = plant;
  const law = plant.pumpTorque / plant.ratedSpeed ** 2;
  const slopes = [0, 1, 2, 3].map(() => new Float64Array(7));
  const at = new Float64Array(7);
  const dry = (amount, w) => amount * Math.tanh(w / friction.knee);
  const slope = (y, force, out) => {
    const motorShaft = stiffness.motorShaft * y[0] + damping.motorShaft * (y[2] - y[3]);
    const lineShaft = stiffness.lineShaft * y[1] + damping.lineShaft * (y[3] - y[4]);
    const water = law * force.valve * Math.abs(y[5]) * y[5] * (1 + force.ripple);
    out[0] = y[2] - y[3];
    out[1] = y[3] - y[4];
    out[2] = (force.motor - motorShaft - dry(friction.motor, y[2])) / inertia.motor;
    out[3] = (motorShaft - lineShaft - dry(friction.gear, y[3])) / inertia.gear;
    out[4] = (lineShaft - water - force.extra - dry(friction.pump, y[4])) / inertia.pump;
    out[5] = (y[4] - y[5]) / plant.waterLag;
    out[6] = y[3];
  };
  return (y, force) => {
    const [a, b, c, d] = slopes;
    slope(y, force, a);
    for (let i = 0; i < 7; i++) at[i] = y[i] + 0.5 * h * a[i];
    slope(at, force, b);
    for (let i = 0; i < 7; i++) at[i] = y[i] + 0.5 * h * b[i];
    slope(at, force, c);
    for (let i = 0; i < 7; i++) at[i] = y[i] + h * c[i];
    slope(at, force, d);
    for (let i = 0; i < 7; i++) y[i] += (h / 6) * (a[i] + 2 * b[i] + 2 * c[i] + d[i]);
  };
}

/**
 * The converter's part of a duty: breakaway boost at `start`, then a ramp from `first` to `target`, rad/s, until the trip at `stop`; after it the
 * non-return valve shuts. `valve` is the opening while it runs.
 *
 * @returns {Duty}
 */
export function driven(t, { start, stop, target, valve, first = 16, plant = tarnWeir }) {
  const { boost, ramp } = plant.drive;
  // Written out, since this is asked at every step of integration.
  const off = (valve) => ({ drive: 'off', target: 0, valve, turbulence: 1, torque: 0 });
  if (t < start) return off(valve);
  if (t >= stop) return off(valve * (1 - (1 - plant.nonReturn.share) * rise(t, stop, plant.nonReturn.seconds)));
  if (t < start + boost) return { drive: 'boost', target: 0, valve, turbulence: 1, torque: 0 };
  return { drive: 'converter', target: first + (target - first) * Math.min(1, (t - start - boost) / ramp), valve, turbulence: 1, torque: 0 };
}

/** 0 before `from`, 1 after `from + seconds`, a half cosine between. */
export function rise(t, from, seconds) {
  const x = (t - from) / seconds;
  return x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * x);
}

/** Half-sine push of that height from `from` on. */
export function push(t, from, seconds, height) {
  return t > from && t < from + seconds ? height * Math.sin((Math.PI * (t - from)) / seconds) : 0;
}

/**
 * Debris that strikes the impeller while an intake is blocked, three seconds apart on average, 30 to 60 ms long, of either sign.
 *
 * @param {number} seed
 * @param {readonly { from: number, to: number }[]} blockages s, in order
 * @param {{ least?: number, most?: number }} [heights] N·m
 * @returns {{ t: number, seconds: number, height: number }[]}
 */
export function strikes(seed, blockages, { least = 1200, most = 3800 } = {}) {
  const random = createRandom(seed);
  const list = [];
  for (const { from, to } of blockages) {
    for (let t = from + 1; ;) {
      t += -3 * Math.log(1 - random.uniform());
      if (t > to - 1) break;
      list.push({ t, seconds: 0.03 + 0.03 * random.uniform(), height: (random.uniform() < 0.3 ? -1 : 1) * (least + (most - least) * random.uniform()) });
    }
  }
  return list;
}

/** The pushes of a list, as torque against time; it walks through the list, so call it with rising t. */
export function makePushes(list) {
  let next = 0;
  return (t) => {
    while (next < list.length && t > list[next].t + list[next].seconds) next++;
    return next < list.length ? push(t, list[next].t, list[next].seconds, list[next].height) : 0;
  };
}
