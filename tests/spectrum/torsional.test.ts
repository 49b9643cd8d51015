import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { driveOrders, fitStiffness, forcedResponse, makeChannel, rpm, slice, solidSection, speedCrossings, summarise, torqueEvents, torsionalModes, universalJointAcceleration, universalJointRatio, type Train } from '../../src/index.js';

/** A chain of inertias J with shafts K between; `ends` ties the first and last to ground with that stiffness. */
function chain(J: readonly number[], K: readonly number[], ends?: number): Train {
  const inertias = J.map((inertia, i) => ({ name: `J${i + 1}`, inertia }));
  const shafts = K.map((stiffness, i) => ({ name: `k${i + 1}`, from: `J${i + 1}`, to: `J${i + 2}`, stiffness }));
  if (ends === undefined) return { inertias, shafts };
  return { inertias, shafts: [{ name: 'left', from: 'ground', to: 'J1', stiffness: ends }, ...shafts, { name: 'right', from: `J${J.length}`, to: 'ground', stiffness: ends }] };
}

const omegas = (train: Train): number[] => torsionalModes(train).modes.map((m) => m.angularFrequency);
const near = (actual: readonly number[], wanted: readonly number[], rel: number): void => wanted.forEach((w, i) => expect(Math.abs(actual[i]! - w)).toBeLessThanOrEqual(rel * Math.max(1e-9, Math.abs(w))));

describe('torsional modes', () => {
  it('of two discs follow ω = √(k (J1 + J2)/(J1 J2)) with the node at J2/(J1 + J2) (closed form; Den Hartog)', () => {
    const { modes } = torsionalModes(chain([2, 3], [12000]));
    near([modes[1]!.angularFrequency, modes[1]!.frequency], [100, 15.915494309189533], 1e-12);
    expect(modes[1]!.shape[1]! / modes[1]!.shape[0]!).toBeCloseTo(-2 / 3, 12);
    expect(modes[0]!.frequency).toBe(0);
  });
  it('of three free discs agree with Thomson, Theory of Vibration with Applications, example 12.4-1 (inputs found; frequencies recomputed) and its Holzer table', () => {
    const train = chain([5, 11, 22], [1e5, 2e5]);
    near(omegas(train).slice(1), [123.66580008320875, 202.65834859046936], 1e-7);
    const { modes } = torsionalModes(train);
    near(Array.from(modes[1]!.shape, (v) => v / modes[1]!.shape[0]!), [1, 0.23533849448899183, -0.344941974517223], 1e-7);
    near(Array.from(modes[2]!.shape, (v) => v / modes[2]!.shape[0]!), [1, -1.053520312670811, 0.2994874290626781], 1e-7);
    for (const mode of modes.slice(1)) {
      // Holzer's remainder, the sum of J ω² θ, vanishes at a natural frequency.
      const sum = [5, 11, 22].reduce((s, J, i) => s + J * mode.angularFrequency ** 2 * mode.shape[i]!, 0);
      expect(Math.abs(sum)).toBeLessThan(1e-6 * 5 * mode.angularFrequency ** 2);
    }
  });
  it('of three rotors on one 70 mm shaft give 120.69 and 195.89 Hz (Khurmi and Gupta, Theory of Machines, ch. 24; inputs found, numbers recomputed)', () => {
    const J = (Math.PI / 32) * 0.07 ** 4;
    near(torsionalModes(chain([0.3, 0.6, 0.18], [84e9 * J / 1.5, 84e9 * J / 1])).modes.slice(1).map((m) => m.frequency), [120.6944391619321, 195.89262498755818], 1e-7);
    // Shapes and the nodes on AB (1.5 m), where θ changes sign, of the same case.
    const { modes } = torsionalModes(chain([0.3, 0.6, 0.18], [84e9 * J / 1.5, 84e9 * J / 1]));
    const shapes = modes.slice(1).map((m) => Array.from(m.shape, (v) => v / m.shape[0]!));
    near(shapes.flat(), [1, -0.30699953183530837, -0.6433348938823044, 1, -2.4430004681646906, 6.476668227215637], 1e-7);
    near(shapes.map(([a, b]) => (1.5 * a!) / (a! - b!)), [1.1476668227215638, 0.4356665106117694], 1e-7);
  });
  it('of a stepped shaft with two flywheels give 3.37 Hz (Khurmi and Gupta, ch. 24; from memory, recomputed 3.3657)', () => {
    const k = 80e9 * (Math.PI / 32) / (0.6 / 0.095 ** 4 + 0.5 / 0.06 ** 4 + 0.4 / 0.05 ** 4);
    const f = torsionalModes(chain([900 * 0.85 ** 2, 700 * 0.55 ** 2], [k])).modes[1]!.frequency;
    near([f], [3.365702842068231], 1e-9);
    expect(Math.abs(f - 3.37)).toBeLessThan(0.006);
    // The node of the equivalent shaft of 95 mm, and on the real one: published as 2.2 m and 0.855 m from A.
    const { shape } = torsionalModes(chain([900 * 0.85 ** 2, 700 * 0.55 ** 2], [k])).modes[1]!;
    const node = ((0.6 + 0.5 * (0.095 / 0.06) ** 4 + 0.4 * (0.095 / 0.05) ** 4) * shape[0]!) / (shape[0]! - shape[1]!);
    near([node, 0.6 + (node - 0.6) * (0.06 / 0.095) ** 4], [2.1998479595502674, 0.8545594899458594], 1e-9);
  });
  it('of three equal discs between fixed ends are √(2 − √2), √2, √(2 + √2) (S. S. Rao, Mechanical Vibrations, figure 6.28; its printed 1.8480 is an iteration residue)', () => {
    near(omegas(chain([1, 1, 1], [1, 1], 1)), [0.7653668647301795, 1.414213562373095, 1.8477590650225735], 1e-9);
  });
  it('of three free discs solve the published quadratic in ω² (Den Hartog; Timoshenko; Wilson)', () => {
    near(omegas(chain([1.5, 0.6, 2.4], [4e4, 9e4])).slice(1), [172.87813750700178, 500.9455887673267], 1e-10);
  });
  it('of a geared branched train follow the rule n² J, n² k (Wilson; Den Hartog; numbers computed by the constrained full system)', () => {
    const train: Train = {
      inertias: [{ name: 'motor', inertia: 10 }, { name: 'g0', inertia: 2 }, { name: 'g1', inertia: 1 }, { name: 'g2', inertia: 1.5 }, { name: 'e1', inertia: 3 }, { name: 'e2', inertia: 20 }],
      shafts: [{ name: 'm', from: 'motor', to: 'g0', stiffness: 5e4 }, { name: 'b1', from: 'g1', to: 'e1', stiffness: 2e4 }, { name: 'b2', from: 'g2', to: 'e2', stiffness: 8e4 }],
      gears: [{ from: 'g0', to: 'g1', ratio: 2 }, { from: 'g0', to: 'g2', ratio: 0.5 }],
    };
    near(omegas(train).slice(1), [64.79049685199783, 75.29808023949631, 171.2555665118369], 1e-9);
  });
  it('are orthogonal in inertia and stiffness, and their count is that of the coordinates', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: 0.1, max: 50, noNaN: true }), { minLength: 2, maxLength: 6 }), fc.integer({ min: 1, max: 1e6 }), (J, seed) => {
      const K = J.slice(1).map((_, i) => 1e3 * (1 + ((seed * (i + 3)) % 97)));
      const { modes } = torsionalModes(chain(J, K));
      expect(modes.length).toBe(J.length);
      for (const a of modes) {
        for (const b of modes) {
          if (a === b) continue;
          const dot = J.reduce((s, j, i) => s + j * a.shape[i]! * b.shape[i]!, 0);
          expect(Math.abs(dot)).toBeLessThan(1e-7 * Math.sqrt(a.modalInertia * b.modalInertia));
        }
      }
    }), { numRuns: 300, seed: 3 });
  });
  it('refuses unknown names, closed gear loops and inertias that are not above 0', () => {
    expect(() => torsionalModes({ ...chain([1, 1], [1]), gears: [{ from: 'J1', to: 'J9', ratio: 2 }] })).toThrow('gears.to must be one of J1, J2');
    expect(() => torsionalModes({ ...chain([1, 1], [1]), gears: [{ from: 'J1', to: 'J2', ratio: 2 }, { from: 'J2', to: 'J1', ratio: 2 }] })).toThrow('without a closed loop');
    expect(() => torsionalModes(chain([1, 0], [1]))).toThrow('inertia of J2 must be a finite number above 0 kg·m²');
  });
});

describe('forced response', () => {
  it('is the harmonic magnifier M = 1/√((1 − r²)² + (2ζr)²) for one inertia against ground (Den Hartog, Rao, Thomson)', () => {
    const [J, k, zeta] = [2, 5000, 0.05];
    const w = Math.sqrt(k / J);
    const train: Train = { inertias: [{ name: 'J', inertia: J }], shafts: [{ name: 's', from: 'ground', to: 'J', stiffness: k, damping: 2 * zeta * Math.sqrt(k * J) }] };
    const r = [0.2, 0.5, 0.9, 1.0, 1.1, 2.0];
    const response = forcedResponse(train, { at: 'J', frequency: r.map((x) => (x * w) / (2 * Math.PI)) });
    const M = [1.0414406840917836, 1.3303802104754785, 4.756514941544942, 10, 4.218245406095975, 0.3325950526188696];
    const lag = [1.1934894239820355, 3.8140748342903543, 25.3461759419467, 90, 152.35402463626133, 176.18592516570965];
    // The shaft carries spring and damper: |T| = M √(1 + (2ζr)²), and it leads the angle by atan 2ζr.
    near(Array.from(response.magnitude[0]!), M.map((m, i) => m * Math.hypot(1, 2 * zeta * r[i]!)), 1e-12);
    near(Array.from(response.phase[0]!, (p) => (-p * 180) / Math.PI), lag.map((l, i) => l - (Math.atan(2 * zeta * r[i]!) * 180) / Math.PI), 1e-9);
  });
  it('of two free inertias is J2/(J1 + J2)/(1 − r²) (Den Hartog)', () => {
    // ω_n = 100 rad/s; undamped, the shaft torque is 0.75/(1 − r²).
    const r = [0.05, 0.1, 0.5, 2];
    const response = forcedResponse(chain([2, 6], [15000]), { at: 'J1', frequency: r.map((x) => (100 * x) / (2 * Math.PI)) });
    near(Array.from(response.magnitude[0]!), r.map((x) => Math.abs(0.75 / (1 - x * x))), 1e-10);
  });
  it('refuses a frequency that is not above 0', () => {
    expect(() => forcedResponse(chain([2, 6], [15000]), { at: 'J1', frequency: [0] })).toThrow('frequency[0] must be a finite number above 0 Hz');
  });
});

describe('reference cases of trains', () => {
  it('taf-step: a torque T₀ put on at once on J1 twists the shaft up to twice T₀·J2/(J1 + J2), 1.910 times at ζ = 3 % (closed form, checked by integrating the ODE)', () => {
    const [J1, J2, k, zeta, T0] = [2, 6, 15000, 0.03, 100];
    const c = (2 * zeta * k) / 100;
    const mode = torsionalModes({ inertias: [{ name: 'J1', inertia: J1 }, { name: 'J2', inertia: J2 }], shafts: [{ name: 's', from: 'J1', to: 'J2', stiffness: k, damping: c }] }).modes[1]!;
    near([mode.angularFrequency, mode.dampingRatio], [100, zeta], 1e-9);
    // The twist by Runge and Kutta's rule, T₀ put on after 1 s: x″ = T₀/J1 − (1/J1 + 1/J2)(k·x + damping·x′).
    const measured = (damping: number): { amplification: number; peak: number; after: number } => {
      const [rate, h] = [4000, 1 / 4000];
      const acc = (x: number, v: number): number => T0 / J1 - (1 / J1 + 1 / J2) * (k * x + damping * v);
      const values = new Float64Array(20 * rate);
      let x = 0, v = 0;
      for (let i = rate; i < values.length; i++) {
        values[i] = k * x;
        const a1 = acc(x, v), v2 = v + (h / 2) * a1, a2 = acc(x + (h / 2) * v, v2), v3 = v + (h / 2) * a2, a3 = acc(x + (h / 2) * v2, v3), v4 = v + h * a3, a4 = acc(x + h * v3, v4);
        x += (h / 6) * (v + 2 * v2 + 2 * v3 + v4);
        v += (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
      }
      const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: rate, values });
      const mean = summarise(slice(torque, { from: 10, to: 20 })).mean;
      const states = [{ state: 'stop' as const, from: 0, to: 1, speed: 0, torque: 0 }, { state: 'start' as const, from: 1, to: 10, speed: 0, torque: mean }, { state: 'steady' as const, from: 10, to: 20, speed: 0, torque: mean }];
      const event = torqueEvents(torque, { states }).events[0]!;
      return { amplification: event.amplification!, peak: event.peakAt - 1, after: mean };
    };
    const damped = measured(c);
    expect(Math.abs(damped.amplification / 1.9100186185297248 - 1)).toBeLessThan(1e-4);
    expect(damped.after).toBeCloseTo((T0 * J2) / (J1 + J2), 6);
    const free = measured(0);
    expect(Math.abs(free.amplification / 2 - 1)).toBeLessThan(2e-3);
  });
  it('thomson-12.4-1: the rows of the published Holzer table at trial speeds 20 and 40 rad/s follow from the train whose modes are found (table found in text, scan garbled)', () => {
    const [J, K] = [[5, 11, 22], [1e5, 2e5]];
    const row = (w: number): number[] => {
      const theta = [1];
      let torque = 0;
      const torques: number[] = [];
      J.forEach((inertia, i) => { torque += inertia * w * w * theta[i]!; torques.push(torque); if (i < 2) theta.push(theta[i]! - torque / K[i]!); });
      return [theta[1]!, theta[2]!, torques[1]!, torques[2]!];
    };
    near(row(20), [0.98, 0.94844, 6312, 14658.272], 1e-9);
    near(row(40), [0.92, 0.79904, 24192, 52318.208], 1e-9);
    // The remainder of the table changes sign at each frequency that torsionalModes gives, and nowhere between.
    const [, w1, w2] = omegas(chain(J, K)) as [number, number, number];
    expect([w1 * 0.999, w1 * 1.001, w2 * 0.999, w2 * 1.001].map((w) => Math.sign(row(w)[3]!))).toEqual([1, -1, -1, 1]);
  });
  it('shaft-stiffness: GJ/L of 80 mm over 1.2 m is 268.08 kN·m/rad, with the section of the library; a disc of 45 kg and 0.5 m has 1.40625 kg·m² (closed form)', () => {
    const J = solidSection(0.08).polarSecondMoment;
    near([J, (80e9 * J) / 1.2, (45 * 0.25 ** 2) / 2], [4.021238596594935e-6, 268082.573106329, 1.40625], 1e-12);
  });
  it('CL-06: 34.2 Hz lies 14 % above 1× and 43 % below 2× at 1800 rpm (rule of API RP 684, 10 % asked, from memory), as margin says', () => {
    const found = speedCrossings({ frequencies: [34.2], damping: 0.02, orders: [1, 2], from: 0, to: rpm(3000), running: rpm(1800) }).crossings;
    near(found.map((c) => 100 * c.margin), [14, -43], 1e-9);
  });
});

describe('stiffness fit', () => {
  it('finds the stiffnesses that made the lines, with an uncertainty that follows theirs', () => {
    const truth = chain([5, 11, 22], [1e5, 2e5]);
    const lines = torsionalModes(truth).modes.slice(1).map((m, i) => ({ mode: i + 1, frequency: m.frequency, uncertainty: 0.002 * m.frequency }));
    const fit = fitStiffness(chain([5, 11, 22], [1.3e5, 1.5e5]), { uncertain: ['k1', 'k2'], lines });
    near(fit.stiffness.map((s) => s.value), [1e5, 2e5], 1e-9);
    // Each line moved by its own uncertainty moves the stiffnesses; the root of the summed squares is what the fit states.
    const moved = lines.map((_, i) => fitStiffness(truth, { uncertain: ['k1', 'k2'], lines: lines.map((l, j) => (i === j ? { ...l, frequency: l.frequency + 0.01 * l.uncertainty } : l)) }));
    fit.stiffness.forEach((s, k) => {
      const spread = Math.hypot(...moved.map((m) => (m.stiffness[k]!.value - s.value) / 0.01));
      expect(Math.abs(spread / s.uncertainty - 1)).toBeLessThan(0.01);
    });
  });
  it('refuses modes that cannot tell the shafts apart, and too few lines', () => {
    expect(() => fitStiffness(chain([5, 11, 22], [1e5, 2e5]), { uncertain: ['k1', 'k2'], lines: [{ mode: 1, frequency: 20, uncertainty: 0.1 }] })).toThrow('at least as many as the 2 uncertain shafts');
    expect(() => fitStiffness(chain([5, 11, 22], [1e5, 2e5]), { uncertain: ['k1', 'k2'], lines: [1, 2].map(() => ({ mode: 1, frequency: 20, uncertainty: 0.1 })) })).toThrow('cannot tell them apart');
  });
});

describe('drive orders', () => {
  it('follow the textbook relations for firing, mesh, blades and joints (Den Hartog; Wilson; from memory)', () => {
    const firing = [{ cylinders: 4, stroke: 4 as const }, { cylinders: 6, stroke: 4 as const }, { cylinders: 8, stroke: 4 as const }, { cylinders: 3, stroke: 2 as const }].map((engine) => driveOrders({ e: { engine } }).at(-1)!.order);
    expect(firing).toEqual([2, 3, 4, 3]);
    expect(driveOrders({ s: { teeth: 23, blades: 4, universalJoint: true } }).map((o) => o.order)).toEqual([1, 2, 4, 23]);
    expect(driveOrders({ motor: {}, pump: { ratio: 0.25, blades: 5 } }).map((o) => [o.order, o.name])).toEqual([[0.25, 'pump: turning'], [1, 'motor: turning'], [1.25, 'pump: blade pass']]);
  });
  it('of a universal joint: 500 rpm at 20° falls to 469.85 and after a second joint out of phase to 441.5 (published textbook question)', () => {
    const b = (20 * Math.PI) / 180;
    const low = universalJointRatio(b, Math.PI / 2);
    near([500 * low, 500 * low * low, 500 / low / low], [469.8463103929542, 441.5111107797445, 566.237165715897], 1e-12);
    expect(universalJointRatio((25 * Math.PI) / 180, (37.5 * Math.PI) / 180)).toBeCloseTo(1.021095734417761, 10);
  });
  it('reference case cardan-curve: ratio of speeds over half a turn at 25° (closed form)', () => {
    const expected = [1.1033779189624917, 1.0993054403654634, 1.0875369559201962, 1.069326535528499, 1.046489982580387, 1.021095734417761, 0.9951804871924854, 0.9705481301193137, 0.9486672489896092, 0.9306501245518236, 0.9172824723177538, 0.9090740350171367, 0.9063077870366499];
    near(expected.map((_, i) => universalJointRatio((25 * Math.PI) / 180, (i * 7.5 * Math.PI) / 180)), expected, 1e-10);
  });
  it('reference case cardan-acc: at 1500 rpm and 20° the driven shaft is accelerated by up to 3083.4 rad/s², at 41.459°: 370.0 N·m on 0.12 kg·m² (Khurmi and Gupta, ch. 9, print 3090 and 371, rounded; from memory)', () => {
    const b = (20 * Math.PI) / 180;
    const acc = (degrees: number): number => universalJointAcceleration(b, (degrees * Math.PI) / 180, rpm(1500));
    let best = 0;
    for (let d = -9000; d < 9000; d++) if (acc(d / 100) > acc(best)) best = d / 100;
    expect(Math.abs(best)).toBeCloseTo(41.458695750352575, 1);
    expect(acc(-41.458695750352575)).toBeCloseTo(3083.402030351761, 6);
    expect(0.12 * acc(best)).toBeCloseTo(370.0082436422113, 3);
    expect(Math.abs(acc(best) - 3090)).toBeLessThan(8);
  });
  it('of a universal joint are the derivative of its ratio, ω·d(ratio)/dt', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1.4, noNaN: true }), fc.double({ min: -4, max: 4, noNaN: true }), fc.double({ min: -300, max: 300, noNaN: true }), (b, angle, w) => {
      const h = 1e-5;
      const slope = (universalJointRatio(b, angle + h) - universalJointRatio(b, angle - h)) / (2 * h);
      expect(Math.abs(universalJointAcceleration(b, angle, w) - w * w * slope)).toBeLessThanOrEqual(1e-4 * w * w * (1 + Math.abs(slope)) + 1e-9);
    }), { seed: 4, numRuns: 200 });
    expect(() => universalJointAcceleration(1.6, 0, 1)).toThrow('bend must be');
  });
});
