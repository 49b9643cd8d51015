import { inspect } from 'node:util';
import { describe, expect, it } from 'vitest';
import { GPa, hollowSection, makeChannel, mm, solidSection, toTorque, torqueBudget, uncertaintyBudget, type TorqueBudgetOptions, type UncertainInput } from '../../src/index.js';
import { leastSquares } from '../../src/numeric/leastSquares.js';
import { prepareInput } from '../../src/gauge/Uncertain.js';

const close = (actual: number, expected: number, relative: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.abs(expected));
const within = (actual: number, expected: number, absolute: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(absolute);

describe('standard uncertainties', () => {
  it('of bounded distributions follow from the half-width (JCGM 100:2008, 4.3.7, 4.3.9, H.1.3.4, F.2.2.1; from memory, recomputed)', () => {
    const u = (input: Omit<UncertainInput, 'value'>): number => prepareInput('test', 'x', { value: 0, ...input }).standardUncertainty;
    close(u({ halfWidth: 1 }), 0.5773502691896258, 1e-12);
    close(u({ halfWidth: 1, distribution: 'triangular' }), 0.4082482904638631, 1e-12);
    close(u({ halfWidth: 1, distribution: 'arcsine' }), 0.7071067811865475, 1e-12);
    close(u({ resolution: 1 }), 0.2886751345948129, 1e-12);
    close(u({ expanded: 3, coverageFactor: 2 }), 1.5, 1e-12);
    close(prepareInput('test', 'x', { value: -200, halfWidth: 0.01, relative: true }).standardUncertainty, 2 / Math.sqrt(3), 1e-12);
  });
});

describe('uncertaintyBudget', () => {
  it('reproduces the end-gauge calibration of JCGM 100:2008 (GUM), H.1: u 32 nm, effective degrees of freedom 16.7, t 2.92, U99 93 nm, 34 nm with second order (public test file)', () => {
    const ud = Math.sqrt(5.8 ** 2 + 3.9 ** 2 + 6.7 ** 2);
    const b = uncertaintyBudget({
      inputs: {
        lS: { value: 50000623, standard: 25, degreesOfFreedom: 18 }, d0: { value: 215, standard: 5.8, degreesOfFreedom: 24 },
        d1: { value: 0, standard: 3.9, degreesOfFreedom: 5 }, d2: { value: 0, standard: 6.7, degreesOfFreedom: 8 },
        alphaS: { value: 1.15e-5, halfWidth: 2e-6 }, thetaMean: { value: -0.1, standard: 0.2 }, thetaCyclic: { value: 0, halfWidth: 0.5, distribution: 'arcsine' },
        dAlpha: { value: 0, halfWidth: 1e-6, degreesOfFreedom: 50 }, dTheta: { value: 0, halfWidth: 0.05, degreesOfFreedom: 2 },
      },
      model: (x) => x.lS! + x.d0! + x.d1! + x.d2! - x.lS! * (x.dAlpha! * (x.thetaMean! + x.thetaCyclic!) + x.alphaS! * x.dTheta!),
      coverage: 0.99, draws: 50_000, seed: 3, unit: 'nm', name: 'length',
    });
    const part = (name: string): number => b.lines.find((l) => l.input === name)!.contribution;
    close(b.value, 50000838, 1e-12);
    close(b.standardUncertainty, 31.663879111008633, 1e-6);
    close(part('lS'), 25, 1e-6);
    close(part('dTheta'), 16.599027060501925, 1e-6);
    close(Math.hypot(part('d0'), part('d1'), part('d2')), ud, 1e-6);
    close(part('dAlpha'), 2.8867873148698995, 1e-6);
    // The three parts of d enter νeff singly here; the GUM merges them to one input of 25.4 degrees of freedom first: the same number by construction.
    close(b.effectiveDegreesOfFreedom!, 16.75185573762724, 1e-6);
    close(b.coverageFactor, 2.9207816223499967, 1e-9);
    close(b.expandedUncertainty, 92.48327619974597, 1e-6);
    close(b.secondOrderUncertainty!, 33.80654542952218, 1e-4);
    within(b.standardUncertainty, 32, 0.5);
    within(b.expandedUncertainty, 93, 0.7);
    within(b.secondOrderUncertainty!, 34, 0.5);
    within(b.monteCarlo!.standardUncertainty, 34, 1); // JCGM 101, 9.5: 36 nm with t-distributed inputs, from memory; normal ones here
  });
  it('reproduces resistance, reactance and impedance of JCGM 100:2008 (GUM), H.2, with correlated means of five readings (from memory, recomputed)', () => {
    const V = [5.007, 4.994, 5.005, 4.99, 4.999], I = [19.663, 19.639, 19.64, 19.685, 19.678].map((v) => v / 1000), phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
    const mean = (a: number[]): number => a.reduce((s, v) => s + v, 0) / a.length;
    const cross = (a: number[], b: number[]): number => a.reduce((s, v, i) => s + (v - mean(a)) * (b[i]! - mean(b)), 0);
    const input = (a: number[]): UncertainInput => ({ value: mean(a), standard: Math.sqrt(cross(a, a) / 20) });
    const r = (a: number[], b: number[]): number => cross(a, b) / Math.sqrt(cross(a, a) * cross(b, b));
    within(r(V, I), -0.36, 0.005);
    within(r(V, phi), 0.86, 0.005);
    within(r(I, phi), -0.65, 0.006);
    const correlations = [{ a: 'V', b: 'I', coefficient: r(V, I) }, { a: 'V', b: 'phi', coefficient: r(V, phi) }, { a: 'I', b: 'phi', coefficient: r(I, phi) }];
    const budget = (model: (x: Readonly<Record<string, number>>) => number) => uncertaintyBudget({ inputs: { V: input(V), I: input(I), phi: input(phi) }, model, correlations, draws: 40_000, seed: 2, unit: 'Ω' });
    const R = budget((x) => (x.V! / x.I!) * Math.cos(x.phi!));
    const X = budget((x) => (x.V! / x.I!) * Math.sin(x.phi!));
    const Z = budget((x) => x.V! / x.I!);
    [[R, 127.732, 0.071], [X, 219.847, 0.295], [Z, 254.26, 0.236]].forEach(([b, value, u]) => {
      within((b as typeof R).value, value as number, 0.0006);
      within((b as typeof R).standardUncertainty, u as number, 0.0006);
      within((b as typeof R).monteCarlo!.standardUncertainty, u as number, 0.02 * (u as number));
      within((b as typeof R).lines.reduce((s, l) => s + l.share, 0), 1, 1e-9);
    });
  });
  it('reproduces the thermometer line of JCGM 100:2008 (GUM), H.3, and its prediction at 30 °C (data and figures from memory, recomputed)', () => {
    const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
    const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
    const fit = leastSquares([t.map(() => 1), t.map((v) => v - 20)], b)!;
    const [u1, u2] = [Math.sqrt(fit.covariance[0]![0]!), Math.sqrt(fit.covariance[1]![1]!)];
    close(fit.coefficients[0]!, -0.17120379013134995, 1e-8);
    close(fit.coefficients[1]!, 0.002182697739887277, 1e-8);
    close(fit.deviation, 0.0034975639635052903, 1e-8);
    close(u1!, 0.002877597835159958, 1e-8);
    close(u2!, 0.0006679387732278328, 1e-8);
    const r = fit.covariance[0]![1]! / (u1! * u2!);
    close(r, -0.930429603093446, 1e-8);
    const at30 = uncertaintyBudget({ inputs: { y1: { value: fit.coefficients[0]!, standard: u1 }, y2: { value: fit.coefficients[1]!, standard: u2 } }, model: (x) => x.y1! + 10 * x.y2!, correlations: [{ a: 'y1', b: 'y2', coefficient: r }], draws: 0 });
    close(at30.value, -0.1493768127324772, 1e-8);
    close(at30.standardUncertainty, 0.004138595752854954, 1e-8);
    within(at30.standardUncertainty, 0.0041, 6e-5);
  });
  it('reproduces the effective degrees of freedom of JCGM 100:2008 (GUM), G.4.1: 19.0, t 2.09 (from memory, recomputed)', () => {
    const inputs = Object.fromEntries([[0.25, 9], [0.57, 4], [0.82, 14]].map(([standard, degreesOfFreedom], i) => [`x${i}`, { value: 1, standard, degreesOfFreedom } as UncertainInput]));
    const b = uncertaintyBudget({ inputs, model: (x) => x.x0! + x.x1! + x.x2!, draws: 0 });
    close(b.standardUncertainty, 1.0294658809304948, 1e-9);
    close(b.effectiveDegreesOfFreedom!, 18.998742314267954, 1e-9);
    close(b.coverageFactor, 2.093024054408263, 1e-9);
    close(b.expandedUncertainty, 2.1546968519801184, 1e-9);
  });
  it('draws four rectangular inputs to the interval ±3.88 where the first order says ±3.92 (JCGM 101:2008, 9.2.3, table 3; exact 3.8794 by Irwin–Hall)', () => {
    const b = uncertaintyBudget({ inputs: Object.fromEntries(['a', 'b', 'c', 'd'].map((n) => [n, { value: 0, standard: 1, distribution: 'rectangular' } as UncertainInput])), model: (x) => x.a! + x.b! + x.c! + x.d!, draws: 400_000, seed: 5 });
    close(b.standardUncertainty, 2, 1e-9);
    close(b.expandedUncertainty, 3.919927969080108, 1e-8);
    within(b.monteCarlo!.high, 3.87940674134783, 0.015);
    within(b.monteCarlo!.low, -3.87940674134783, 0.015);
    within(b.monteCarlo!.standardUncertainty, 2, 0.01);
  });
  it('draws the mass calibration of JCGM 101:2008, 9.3, table 5, to u 0.0754 where the first order says 0.0539 (from memory)', () => {
    const b = uncertaintyBudget({
      inputs: { mRc: { value: 100000, standard: 0.05 }, dm: { value: 1.234, standard: 0.02 }, a: { value: 1.2, halfWidth: 0.1 }, W: { value: 8000, halfWidth: 1000 }, R: { value: 8000, halfWidth: 50 } },
      model: (x) => (x.mRc! + x.dm!) * (1 + (x.a! - 1.2) * (1 / x.W! - 1 / x.R!)) - 100000, draws: 2_000_000, seed: 1, unit: 'mg',
    });
    close(b.value, 1.234, 1e-6);
    close(b.standardUncertainty, 0.05385164807134504, 1e-6);
    within(b.secondOrderUncertainty!, 0.075, 0.0006);
    within(b.monteCarlo!.standardUncertainty, 0.0754, 0.0003);
    within(b.monteCarlo!.shortestLow, 1.0834, 0.003);
    within(b.monteCarlo!.shortestHigh, 1.3825, 0.003);
    expect(b.monteCarlo!.firstOrderHolds).toBe(false);
    expect(b.notes.length).toBe(2);
  });
  it('draws t inputs with the spread of t, and correlated ones with their correlation', () => {
    const t = uncertaintyBudget({ inputs: { x: { value: 0, standard: 1, distribution: 't', degreesOfFreedom: 10 } }, model: (x) => x.x!, draws: 300_000, seed: 7 });
    within(t.monteCarlo!.standardUncertainty, Math.sqrt(10 / 8), 0.01);
    within(t.monteCarlo!.high, 2.2281, 0.02); // t of 10 degrees of freedom, 97.5 %
    for (const distribution of ['normal', 'rectangular', 'triangular', 'arcsine', 't'] as const) {
      const one: UncertainInput = { value: 1, standard: 0.1, distribution, ...(distribution === 't' ? { degreesOfFreedom: 50 } : {}) };
      const sum = uncertaintyBudget({ inputs: { a: one, b: one }, model: (x) => x.a! - x.b!, correlations: [{ a: 'a', b: 'b', coefficient: 0.8 }], draws: 30_000, seed: 8 });
      close(sum.standardUncertainty, 0.1 * Math.sqrt(0.4), 1e-9);
      within(sum.monteCarlo!.standardUncertainty, 0.1 * Math.sqrt(0.4), 0.007); // a normal copula makes the correlation of bounded ones a little smaller
    }
  });
  it('gives the same draws for the same seed', () => {
    const run = (seed: number): number => uncertaintyBudget({ inputs: { a: { value: 1, standard: 0.1 } }, model: (x) => x.a! ** 2, draws: 1000, seed }).monteCarlo!.mean;
    expect(run(4)).toBe(run(4));
    expect(run(4)).not.toBe(run(5));
  });
  it.each([
    [{ a: { value: 1 } }, 'one of standard, halfWidth, expanded and resolution, got none of them'],
    [{ a: { value: 1, standard: 1, halfWidth: 1 } }, 'got standard and halfWidth'],
    [{ a: { value: 1, expanded: 1 } }, 'a.coverageFactor must be given with expanded'],
    [{ a: { value: 1, halfWidth: 1, distribution: 'normal' } }, 'Give standard, or expanded with coverageFactor.'],
    [{ a: { value: 1, standard: 1, distribution: 't' } }, 'degreesOfFreedom must be given for the distribution t'],
    [{ a: { value: 1, standard: -1 } }, 'a.standard must be a finite number at least 0'],
    [{}, 'at least one input'],
  ])('refuses the inputs %j', (inputs, message) => {
    expect(() => uncertaintyBudget({ inputs: inputs as never, model: (x) => x.a! })).toThrow(message);
  });
  it('refuses impossible correlations and models that give no number', () => {
    const inputs = { a: { value: 1, standard: 1 }, b: { value: 1, standard: 1 }, c: { value: 1, standard: 1 } };
    const model = (x: Readonly<Record<string, number>>): number => x.a! + x.b! + x.c!;
    expect(() => uncertaintyBudget({ inputs, model, correlations: [{ a: 'a', b: 'x', coefficient: 0 }] })).toThrow('between two of a, b, c');
    const no = [['a', 'b', 1], ['b', 'c', 1], ['a', 'c', -1]].map(([a, b, coefficient]) => ({ a: a as string, b: b as string, coefficient: coefficient as number }));
    expect(() => uncertaintyBudget({ inputs, model, correlations: no, draws: 10 })).toThrow('contradict each other');
    expect(() => uncertaintyBudget({ inputs, model: () => Number.NaN })).toThrow('a finite number at the estimates');
    expect(() => uncertaintyBudget({ inputs, model: (x) => Math.log(x.a!), draws: 1000 })).toThrow('wherever the inputs may lie');
  });
});

describe('sensitivities', () => {
  it.each([0, 3.4e-19, 1e-14, -1e-9, 1e-5, 0.003, -0.05])('of an input whose estimate %d is small beside its uncertainty are those of the straight line', (value) => {
    const budget = torqueBudget({
      quantity: 'torque', gauge: { gaugeFactor: 2.1, activeArms: 4, youngsModulus: GPa(206), poissonsRatio: 0.29 }, section: hollowSection(mm(90), mm(70)),
      signal: { value: 0.75, standard: 1e-4 }, zero: { value, standard: 0.004 }, unit: 'mV/V', uncertainty: {}, draws: 0,
    });
    const [zero, signal] = ['zero', 'signal'].map((name) => budget.lines.find((l) => l.input === name)!) as [typeof budget.lines[number], typeof budget.lines[number]];
    close(-zero.sensitivity, signal.sensitivity, 1e-9);
    close(zero.share, 16e-6 / (16e-6 + 1e-8), 1e-8);
  });
  it('of a curved quantity are its derivative, for estimates from far below to far above the uncertainty', () => {
    for (const value of [0, 1e-12, 0.01, 0.3, 1, 30]) {
      const [line] = uncertaintyBudget({ inputs: { x: { value, standard: 0.1 } }, model: ({ x }) => Math.exp(x!), draws: 0 }).lines;
      close(line!.sensitivity, Math.exp(value), 1e-6);
    }
  });
});

describe('torqueBudget', () => {
  it('of strain from misaligned gauges is about the torque that toTorque gives', () => {
    const gauge = { gaugeFactor: 2, activeArms: 4, shearModulus: GPa(80), misalignment: 0.1 } as const;
    const section = solidSection(mm(50));
    const strain = makeChannel({ name: 'e', unit: 'µstrain', sampleRate: 1, values: [200] });
    const budget = torqueBudget({ quantity: 'torque', gauge, section, signal: { value: 200, standard: 1 }, unit: 'µstrain', uncertainty: { misalignment: { standard: 0.01 } }, draws: 0 });
    close(budget.value, toTorque(strain, { gauge, section }).values[0]!, 1e-12);
    // d/dβ of cos 2β₀ / cos 2β is 2 tan 2β₀ at β₀: the strain was corrected with 0.1, the gauges may lie otherwise.
    close(budget.lines.find((l) => l.input === 'misalignment')!.sensitivity, budget.value * 2 * Math.tan(0.2), 1e-8);
    const ratio = makeChannel({ name: 'r', unit: 'mV/V', sampleRate: 1, values: [0.4] });
    close(torqueBudget({ quantity: 'torque', gauge, section, signal: { value: 0.4, standard: 0.001 }, unit: 'mV/V', uncertainty: {}, draws: 0 }).value, toTorque(ratio, { gauge, section }).values[0]!, 1e-12);
  });
  const options: TorqueBudgetOptions = {
    quantity: 'torque', gauge: { gaugeFactor: 2.1, activeArms: 4, youngsModulus: GPa(206), poissonsRatio: 0.29 }, section: hollowSection(mm(90), mm(70)),
    signal: { value: 0.8, expanded: 0.0005, coverageFactor: 2, relative: true }, unit: 'mV/V',
    uncertainty: { youngsModulus: { halfWidth: 0.015, relative: true }, poissonsRatio: { halfWidth: 0.02 }, gaugeFactor: { halfWidth: 0.005, relative: true }, outerDiameter: { halfWidth: mm(0.05) }, innerDiameter: { halfWidth: mm(0.1) } },
    draws: 100_000, seed: 9,
  };
  it('agrees with analytic sensitivities of a hollow shaft: 5.31 for the outer diameter of 90/70 mm (case torque-budget: computed, tolerances chosen)', () => {
    const b = torqueBudget(options);
    close(b.value, 5521.141955662828, 1e-12);
    const line = (name: string) => b.lines.find((l) => l.input === name)!;
    const expected = { youngsModulus: 1, gaugeFactor: -1, signal: 1, poissonsRatio: -0.22480620155038758, outerDiameter: 5.308653846153848, innerDiameter: -2.308653846153848 };
    for (const [name, c] of Object.entries(expected)) close(line(name).relativeSensitivity!, c, 1e-9);
    const parts = { youngsModulus: 0.008660254037844387, poissonsRatio: 0.008951166964180244, gaugeFactor: 0.002886751345948129, outerDiameter: 0.0017027515150619258, innerDiameter: 0.0019041455993465558, signal: 0.00025 };
    for (const [name, u] of Object.entries(parts)) close(line(name).contribution / b.value, u, 1e-9);
    close(b.standardUncertainty / b.value, 0.013040105695105454, 1e-9);
    within(b.monteCarlo!.standardUncertainty / b.standardUncertainty, 1, 0.01);
    close(b.monteCarlo!.mean, b.value, 2e-4);
    expect(b.notes[0]).toBe('Taken as exact: misalignment, zero.');
  });
  it('of shear stress holds no diameter: another shaft, the same budget', () => {
    const a = torqueBudget({ ...options, quantity: 'shear stress' });
    const b = torqueBudget({ ...options, quantity: 'shear stress', section: solidSection(0.4) });
    expect(b.value).toBe(a.value);
    expect(b.standardUncertainty).toBe(a.standardUncertainty);
    expect(a.lines.map((l) => l.input)).not.toContain('outerDiameter');
    expect(a.notes[0]).toBe('outerDiameter does not enter the shear stress at the gauge section.');
    expect(a.standardUncertainty / a.value).toBeLessThan(torqueBudget(options).standardUncertainty / 5521.14);
  });
  it('shows the bias of misaligned gauges by Monte Carlo, which the first order cannot see', () => {
    const b = torqueBudget({ ...options, signal: { value: 0.8, standard: 0 }, uncertainty: { misalignment: { halfWidth: (5 * Math.PI) / 180 } } });
    within(b.lines.find((l) => l.input === 'misalignment')!.contribution / b.value, 0, 1e-10);
    // Mean of 1/cos 2β over ±5°: (1/a) ∫ sec = ln tan(π/4 + a/2)/a with a = 10° in rad.
    const a = (10 * Math.PI) / 180;
    close(b.monteCarlo!.mean / b.value, Math.log(Math.tan(Math.PI / 4 + a / 2)) / a, 2e-5);
  });
  it('carries gain, supply, counts and zero of a raw signal', () => {
    const gauge = { gaugeFactor: 2, activeArms: 4, shearModulus: GPa(80), countsPerVolt: 3276.8, gain: 400, excitation: 5 } as const;
    const b = torqueBudget({ quantity: 'torque', gauge, section: solidSection(0.05), unit: 'count', signal: { value: 6000, resolution: 1 }, zero: { value: 120, standard: 4, degreesOfFreedom: 40 }, uncertainty: { gain: { standard: 0.002, relative: true }, shearModulus: { standard: 0.01, relative: true } }, draws: 0 });
    const torque = ((((5880 / 3276.8 / 400 / 5) / 2) * 2 * 80e9 * Math.PI * 0.05 ** 3) / 16);
    close(b.value, torque, 1e-12);
    close(b.standardUncertainty / b.value, Math.hypot(4 / 5880, 1 / 5880 / Math.sqrt(12), 0.002, 0.01), 1e-9);
  });
  it('of a calibrated chain counts slope, linearity, hysteresis and zero, and nothing twice', () => {
    const calibrated = { quantity: 'torque', calibration: { slope: 2000, unit: 'mV/V', intercept: 10 }, unit: 'mV/V', signal: { value: 1.5, standard: 0.001 }, zero: { value: 0.25, standard: 0.002 }, draws: 0 } as const;
    const b = torqueBudget({ ...calibrated, uncertainty: { slope: { standard: 8 }, linearity: { halfWidth: 5 }, hysteresis: { halfWidth: 3 } } });
    close(b.value, 2510, 1e-12);
    close(b.standardUncertainty, Math.hypot(8 * 1.25, 2, 4, 5 / Math.sqrt(3), 3 / Math.sqrt(3)), 1e-9);
    expect(() => torqueBudget({ ...calibrated, uncertainty: { gaugeFactor: { standard: 0.01 } } })).toThrow('of slope, linearity, hysteresis, which are the inputs here, got one of gaugeFactor');
    expect(() => torqueBudget({ ...calibrated, uncertainty: { linearity: { halfWidth: 0.01, relative: true } } })).toThrow('left out for an estimate of 0');
    expect(() => torqueBudget({ ...calibrated, quantity: 'shear stress', uncertainty: {} })).toThrow('use uncertaintyBudget');
    expect(() => torqueBudget({ ...calibrated, unit: 'V', uncertainty: {} })).toThrow('in which the calibration was made');
    expect(() => torqueBudget({ quantity: 'torque', unit: 'V', signal: { value: 1, standard: 0 }, uncertainty: {} })).toThrow('gauge must be given, or calibration in its place');
  });
  it('prints as a person writes: 15 000 N·m ± 310 N·m, without powers of ten', () => {
    const b = uncertaintyBudget({ inputs: { T: { value: 15_000, standard: 157 } }, model: (x) => x['T']!, name: 'torque', unit: 'N·m', draws: 0 });
    expect(inspect(b)).toBe('torque 15000 N·m ± 310 (k 1.96, 95 %); most from T');
  });
  it('refuses what is no input here', () => {
    expect(() => torqueBudget({ ...options, uncertainty: { shearModulus: { standard: 1 } } })).toThrow('one of shearModulus');
    expect(() => torqueBudget({ ...options, uncertainty: { gain: { standard: 1 } } })).toThrow('one of gain');
    expect(() => torqueBudget({ ...options, section: undefined })).toThrow('section must be given for torque');
    expect(() => torqueBudget({ ...options, quantity: 'power' as never })).toThrow("one of 'torque', 'shear stress'");
  });
});
