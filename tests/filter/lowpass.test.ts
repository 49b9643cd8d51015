import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bandpass, bandstop, createRandom, designBandpass, designBandstop, designHighpass, designLowpass, highpass, lowpass, makeChannel, replay, responseOf,
  type Channel, type FilterDesign, type Span,
} from '../../src/index.js';
import { runSections, settledState } from '../../src/numeric/sections.js';
import { close, golden, published } from './golden.js';

const channel = (values: ArrayLike<number>, invalid: Span[] = []): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from(values), invalid });
const design = (type: string, order: number, edges: readonly number[]): FilterDesign => {
  if (type === 'lowpass') return designLowpass({ cutoff: edges[0]!, order, sampleRate: 1000 });
  if (type === 'highpass') return designHighpass({ cutoff: edges[0]!, order, sampleRate: 1000 });
  return (type === 'bandpass' ? designBandpass : designBandstop)({ from: edges[0]!, to: edges[1]!, order, sampleRate: 1000 });
};
const run = (type: string, c: Channel, edges: readonly number[], more: object): Channel => {
  if (type === 'lowpass') return lowpass(c, { cutoff: edges[0]!, ...more });
  if (type === 'highpass') return highpass(c, { cutoff: edges[0]!, ...more });
  return (type === 'bandpass' ? bandpass : bandstop)(c, { from: edges[0]!, to: edges[1]!, ...more });
};
const found = (c: Channel): Record<string, unknown> => c.trail.at(-1)!.found as Record<string, unknown>;

describe('Butterworth design', () => {
  it.each(golden.designs)('equals SciPy: $type order $order, $edges Hz at 1000 Hz', ({ type, order, edges, sos }) => {
    const d = design(type, order, edges);
    expect(d.sections.length).toBe(sos.length);
    // The gain of the first section separately: it can be tiny, and must agree relatively.
    expect(d.sections[0]! / sos[0]!).toBeCloseTo(1, 9);
    close(d.sections, sos, 1e-9, 1e-9);
  });
  it('is −3.01 dB at its edges and 1 where it passes, for every order', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 12 }), fc.double({ min: 0.01, max: 0.9, noNaN: true }), fc.double({ min: 0.02, max: 0.09, noNaN: true }), (order, a, width) => {
      const [f1, f2] = [500 * a, 500 * (a + width)];
      const at = (d: FilterDesign, f: number[]): number[] => Array.from(responseOf(d, { frequency: f }).gain);
      close(at(design('lowpass', order, [f1]), [0, f1]), [1, Math.SQRT1_2], 1e-5);
      close(at(design('highpass', order, [f1]), [500, f1]), [1, Math.SQRT1_2], 1e-5);
      if (order <= 5 && a > 0.05) close(at(design('bandstop', order, [f1, f2]), [0, f1, f2, 500]), [1, Math.SQRT1_2, Math.SQRT1_2, 1], 1e-4);
    }), { seed: 2, numRuns: 100 });
  });
});

describe('lowpass, highpass, bandpass, bandstop', () => {
  it.each(golden.runs)('$type order $order equals SciPy to 1e-9: zero phase, causal from rest, causal settled', ({ type, order, edges, zero_phase, rest, settled }) => {
    const c = channel(golden.x);
    const scale = Math.max(...golden.x);
    close(run(type, c, edges, { order }).values, zero_phase, 1e-9, 1e-9 * scale);
    close(run(type, c, edges, { order, zeroPhase: false, startUp: 'rest' }).values, rest, 1e-9, 1e-9 * scale);
    close(run(type, c, edges, { order, zeroPhase: false }).values, settled, 1e-9, 1e-9 * scale);
  });
  it.each(['sosfiltfilt-butter4', 'sosfiltfilt-butter3', 'filtfilt-ba-odd'])('reference case %s (SciPy golden array) holds', (id) => {
    const { inputs, expected, tolerance } = published(id);
    close(lowpass(channel(inputs.x), { cutoff: 50, order: id.endsWith('3') ? 3 : 4 }).values, expected.y, 0, id === 'filtfilt-ba-odd' ? 3e-9 : tolerance.abs);
    if (inputs.padlen !== undefined && id !== 'filtfilt-ba-odd') expect(designLowpass({ cutoff: 50, order: id.endsWith('3') ? 3 : 4, sampleRate: 1000 }).padding).toBe(inputs.padlen);
  });
  it('reference case sosfilt-butter4 (SciPy golden array, zero initial state) holds', () => {
    const { inputs, expected, tolerance } = published('sosfilt-butter4');
    close(lowpass(channel(inputs.x), { cutoff: 50, zeroPhase: false, startUp: 'rest' }).values, expected.y, 0, tolerance.abs);
  });

  it('states −6.02 dB at the cutoff of two passes, and moves the edge for −3.01 dB where asked', () => {
    const c = channel(golden.x);
    expect(found(lowpass(c, { cutoff: 50 }))).toMatchObject({ passes: 2, order: 4, family: 'butterworth', designEdges: [50], attenuationAtEdges: [6.021], padding: 15, runs: 1 });
    expect(found(lowpass(c, { cutoff: 50, zeroPhase: false }))).toMatchObject({ passes: 1, attenuationAtEdges: [3.01] });
    for (const [type, edges] of [['lowpass', [50]], ['highpass', [120]], ['bandpass', [60, 300]], ['bandstop', [60, 300]]] as const) {
      for (const order of [1, 2, 3, 4, 7]) {
        const f = found(run(type, c, edges, { order, cutoffAt: '-3dB' }));
        for (const a of f.attenuationAtEdges as number[]) expect(a).toBeCloseTo(3.01, 3);
        const gain = responseOf(design(type, order, f.designEdges as number[]), { frequency: edges, passes: 2 }).gain;
        for (const g of gain) expect(g).toBeCloseTo(Math.SQRT1_2, 9);
      }
    }
  });
  it('moves the edge by Winter\'s factor (reference case filtfilt-cutoff-correction; from memory: 0.802 for n = 2) before pre-warping', () => {
    const { inputs, expected } = published('filtfilt-cutoff-correction');
    inputs.orders.forEach((order: number, i: number) => {
      const c = makeChannel({ name: 'x', unit: '1', sampleRate: 1e6, values: golden.x });
      const [edge] = found(lowpass(c, { cutoff: 100, order, cutoffAt: '-3dB' })).designEdges as number[];
      expect(100 / edge!).toBeCloseTo(expected.C[i], 6);
    });
    for (const a of expected.attenuation_at_fc_dB as number[]) expect(a).toBeCloseTo(20 * Math.log10(2), 9);
  });
  it('leaves a constant alone and is linear', () => {
    const rng = createRandom(5);
    const a = Float64Array.from({ length: 200 }, () => rng.normal());
    const b = Float64Array.from({ length: 200 }, () => rng.normal());
    const f = (v: Float64Array): Float64Array => lowpass(channel(v), { cutoff: 80 }).values;
    close(f(a.map((v, i) => 3 * v - 2 * b[i]! + 7)), f(a).map((v, i) => 3 * v - 2 * f(b)[i]! + 7), 0, 1e-10);
  });
  it('turns with time: a reversed record gives the reversed answer away from the ends', () => {
    const v = Float64Array.from(golden.x);
    const there = lowpass(channel(v), { cutoff: 150 }).values;
    const back = lowpass(channel(v.slice().reverse()), { cutoff: 150 }).values.slice().reverse();
    close(there.slice(100, 300), back.slice(100, 300), 1e-9);
  });
  it('keeps a slow sine in place and takes a fast one away by |H|²', () => {
    const n = 4000, at = 2000;
    const tone = (f: number): Float64Array => Float64Array.from({ length: n }, (_, i) => Math.cos((2 * Math.PI * f * (i - at)) / 1000));
    for (const f of [5, 45, 70]) {
      const g = responseOf(designLowpass({ cutoff: 50, sampleRate: 1000 }), { frequency: [f], passes: 2 }).gain[0]!;
      expect(lowpass(channel(tone(f)), { cutoff: 50 }).values[at]).toBeCloseTo(g, 9);
    }
  });

  it('filters every valid run on its own and keeps what stands under a mask', () => {
    fc.assert(fc.property(fc.integer({ min: 20, max: 150 }), fc.integer({ min: 1, max: 60 }), fc.constantFrom(true, false), (from, length, zeroPhase) => {
      const values = Float64Array.from(golden.x);
      const span: Span = { from, to: from + length, why: 'dropout' };
      for (let i = span.from; i < span.to; i++) values[i] = 1e6 * (i % 7);
      const done = lowpass(channel(values, [span]), { cutoff: 50, zeroPhase });
      const whole = (a: number, b: number): Float64Array => lowpass(channel(values.slice(a, b)), { cutoff: 50, zeroPhase }).values;
      expect(done.values.slice(0, from)).toEqual(whole(0, from));
      expect(done.values.slice(span.to)).toEqual(whole(span.to, values.length));
      expect(done.values.slice(from, span.to)).toEqual(values.slice(from, span.to));
      expect(done.invalid).toEqual([span]);
    }), { seed: 3, numRuns: 50 });
  });
  it('refuses a run too short to settle, or masks it as a filter edge where told', () => {
    const c = channel(golden.x, [{ from: 100, to: 105, why: 'spike' }, { from: 112, to: 120, why: 'dropout' }]);
    expect(() => lowpass(c, { cutoff: 50 })).toThrow("lowpass: valid runs of torque must be longer than 15 samples, which the filter needs to settle at the ends, got 1 shorter, the first with 7 samples at sample 105. Mask them with shortRuns: 'mask', or use a lower order.");
    const done = lowpass(c, { cutoff: 50, shortRuns: 'mask' });
    expect(done.invalid).toEqual([{ from: 100, to: 105, why: 'spike' }, { from: 105, to: 112, why: 'filter edge' }, { from: 112, to: 120, why: 'dropout' }]);
    expect(found(done).masked).toEqual({ samples: 7, runs: 1, why: 'filter edge' });
    expect(() => lowpass(channel(golden.x.slice(0, 15)), { cutoff: 50, shortRuns: 'mask' })).toThrow('Use a lower order, or a longer record.');
    expect(lowpass(channel(golden.x.slice(0, 16)), { cutoff: 50 }).values.length).toBe(16);
  });
  it('replays to the same bytes', () => {
    const raw = channel(golden.x, [{ from: 100, to: 105, why: 'spike' }]);
    const done = bandstop(highpass(lowpass(raw, { cutoff: 200, cutoffAt: '-3dB' }), { cutoff: 2, order: 2, zeroPhase: false }), { from: 45, to: 55 });
    expect(replay(raw, done.trail)).toEqual(done);
  });
  it.each<[object | undefined, string]>([
    [undefined, 'lowpass: options must be an object with cutoff'],
    [{}, 'lowpass: cutoff must be given: it has no default because it is a physical choice'],
    [{ cutoff: 600 }, 'lowpass: cutoff must be below half the sample rate (500 Hz), got 600 Hz.'],
    [{ cutoff: 500 }, 'below half the sample rate'],
    [{ cutoff: -1 }, 'above 0 Hz'],
    [{ cutoff: '50' }, 'cutoff must be a finite number'],
    [{ cutof: 50 }, "Did you mean 'cutoff'?"],
    [{ cutoff: 50, order: 2.5 }, 'designLowpass: order must be a whole number'],
    [{ cutoff: 50, order: 21 }, 'at most 20'],
    [{ cutoff: 50, cutoffAt: '-6dB' }, "cutoffAt must be one of 'each pass', '-3dB'"],
    [{ cutoff: 50, startUp: 'rest' }, 'startUp must be left out for a zero-phase run'],
    [{ cutoff: 50, zeroPhase: 'yes' }, 'zeroPhase must be true or false'],
    [{ cutoff: 50, family: 'elliptic' }, 'family must be one of'],
    [{ cutoff: 50, ripple: 1 }, 'ripple must be left out for the family butterworth'],
    [{ cutoff: 50, family: 'chebyshev 1' }, 'ripple must be a finite number at least 0.000001 dB and at most 300 dB, got undefined'],
    [{ cutoff: 50, family: 'bessel', cutoffAt: '-3dB' }, "cutoffAt must be 'each pass' for every family but butterworth"],
  ])('refuses %j', (options, message) => {
    expect(() => lowpass(channel(golden.x), options as never)).toThrow(message);
  });
  it('refuses edges out of order and a channel that is all masked', () => {
    expect(() => bandpass(channel(golden.x), { from: 50, to: 20 })).toThrow('bandpass: to must be above from (50 Hz), got 20 Hz.');
    expect(() => lowpass(channel(golden.x, [{ from: 0, to: 400, why: 'dropout' }]), { cutoff: 50 })).toThrow('at least one valid sample, got all masked');
  });
});

describe('sections', () => {
  it('fed block by block give the same bytes as at once', () => {
    const x = Float64Array.from(golden.x);
    fc.assert(fc.property(fc.integer({ min: 1, max: 9 }), fc.array(fc.integer({ min: 0, max: 400 }), { maxLength: 6 }), (order, cuts) => {
      const { sections } = designLowpass({ cutoff: 70, order, sampleRate: 1000 });
      const whole = new Float64Array(400), parts = new Float64Array(400);
      runSections(sections, settledState(sections, x[0]!), { input: x, from: 0, output: whole, to: 0, count: 400, step: 1 });
      const state = settledState(sections, x[0]!);
      const bounds = [0, ...cuts.sort((a, b) => a - b), 400];
      for (let i = 1; i < bounds.length; i++) runSections(sections, state, { input: x, from: bounds[i - 1]!, output: parts, to: bounds[i - 1]!, count: bounds[i]! - bounds[i - 1]!, step: 1 });
      expect(parts).toEqual(whole);
    }), { seed: 4, numRuns: 200 });
  });
  it('agree with the difference equation written out section by section (slow twin)', () => {
    for (const order of [1, 2, 3, 4, 5, 8]) {
      const { sections } = designLowpass({ cutoff: 60, order, sampleRate: 1000 });
      let y = Array.from(golden.x);
      for (let k = 0; k < sections.length; k += 6) {
        const [b0, b1, b2, , a1, a2] = sections.slice(k, k + 6) as unknown as number[];
        const x = y;
        y = [];
        x.forEach((v, i) => y.push(b0! * v + b1! * (x[i - 1] ?? 0) + b2! * (x[i - 2] ?? 0) - a1! * (y[i - 1] ?? 0) - a2! * (y[i - 2] ?? 0)));
      }
      const out = new Float64Array(400);
      runSections(sections, settledState(sections, 0), { input: Float64Array.from(golden.x), from: 0, output: out, to: 0, count: 400, step: 1 });
      close(out, y, 1e-12, 1e-12);
    }
  });
});
