import { describe, expect, it } from 'vitest';
import { bandpass, bandstop, decimate, designBandpass, designBandstop, designHighpass, designLowpass, designNotch, firLowpass, highpass, lowpass, makeChannel, markInvalid, movingMedian, notch, resample, responseOf, savitzkyGolay, StreamFilter, upsamplePeaks, type Channel, type FilterDesign, type StreamFilterOptions } from '../../src/index.js';
import { breaches } from '../hostileArguments.js';

const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 120 }, (_, i) => 100 + 20 * Math.sin(i) + (i % 7)) });
const masked = markInvalid(torque, [{ from: 60, to: 63, why: 'dropout' }]);
const design = designLowpass({ cutoff: 10, sampleRate: 100 });
const streamed = (d: FilterDesign, options: StreamFilterOptions, block: Float64Array): number[] => {
  const filter = new StreamFilter(d, options);
  return [...filter.push(block), ...filter.finish()];
};

describe('hostile arguments to the filters give an InputError with a sentence, or a result of numbers', () => {
  it.each<readonly [string, (...args: never[]) => unknown, readonly unknown[]]>([
    ['lowpass', lowpass, [masked, { cutoff: 10, order: 2, zeroPhase: true, cutoffAt: '-3dB', shortRuns: 'mask', gaps: 'bridge' }]],
    ['lowpass, causal', lowpass, [masked, { cutoff: 10, order: 2, zeroPhase: false, startUp: 'rest', family: 'chebyshev 1', ripple: 1 }]],
    ['highpass', highpass, [masked, { cutoff: 10, order: 3, family: 'chebyshev 2', stopband: 40 }]],
    ['bandpass', bandpass, [masked, { from: 10, to: 20, order: 2, family: 'bessel' }]],
    ['bandstop', bandstop, [masked, { from: 10, to: 20, order: 2, cutoffAt: '-3dB' }]],
    ['notch', notch, [masked, { frequency: 10, width: 4, harmonics: 2, zeroPhase: false }]],
    ['movingMedian', movingMedian, [masked, { samples: 5, shortRuns: 'mask' }]],
    ['savitzkyGolay', savitzkyGolay, [masked, { samples: 5, degree: 2, shortRuns: 'mask' }]],
    ['firLowpass', firLowpass, [masked, { cutoff: 20, taps: 15, window: 'hann', shortRuns: 'mask' }]],
    ['decimate', decimate, [masked, { factor: 2 }]],
    ['resample', resample, [masked, { sampleRate: 80 }]],
    ['upsamplePeaks', upsamplePeaks, [masked, { factor: 4 }]],
    ['designLowpass', designLowpass, [{ cutoff: 10, sampleRate: 100, order: 3, family: 'chebyshev 1', ripple: 1 }]],
    ['designHighpass', designHighpass, [{ cutoff: 10, sampleRate: 100, order: 3, family: 'chebyshev 2', stopband: 40 }]],
    ['designBandpass', designBandpass, [{ from: 10, to: 20, sampleRate: 100, order: 3, family: 'bessel' }]],
    ['designBandstop', designBandstop, [{ from: 10, to: 20, sampleRate: 100, order: 3 }]],
    ['designNotch', designNotch, [{ frequency: 10, width: 2, harmonics: 3, sampleRate: 100 }]],
    ['responseOf', responseOf, [design, { frequency: [0, 10, 50], passes: 2 }]],
    ['StreamFilter', streamed, [design, { zeroPhase: false, startUp: 'rest' }, torque.values]],
    ['StreamFilter, zero phase', streamed, [design, { zeroPhase: true }, torque.values]],
  ])('%s', (_, verb, args) => {
    expect(breaches(verb, args)).toEqual([]);
  });
  it('a number that is none, in the middle of a block for a StreamFilter', () => {
    for (const bad of [Number.NaN, Infinity, -Infinity]) {
      const block = torque.values.slice();
      block[70] = bad;
      expect(() => new StreamFilter(design).push(block)).toThrow(`StreamFilter.push: block must be a Float64Array of finite numbers, got ${bad} at 70.`);
    }
    expect(() => new StreamFilter(design, { zeroPhase: 'no' as never })).toThrow('StreamFilter: zeroPhase must be true or false, got "no".');
  });
  it('records of two samples, of nothing valid, and of nothing between two masks', () => {
    const two = makeChannel({ name: 'two', unit: 'N·m', sampleRate: 100, values: [1, 2] });
    const none = markInvalid(torque, [{ from: 0, to: 120, why: 'dropout' }]);
    const crumbs = markInvalid(torque, [{ from: 0, to: 58, why: 'dropout' }, { from: 60, to: 120, why: 'rail' }]);
    for (const filter of [(c: Channel) => lowpass(c, { cutoff: 10 }), (c: Channel) => notch(c, { frequency: 10, width: 2 }), (c: Channel) => firLowpass(c, { cutoff: 20, taps: 15, shortRuns: 'mask' }), (c: Channel) => savitzkyGolay(c, { samples: 5, degree: 2 }), (c: Channel) => movingMedian(c, { samples: 5 }), (c: Channel) => decimate(c, { factor: 2, shortRuns: 'mask' }), (c: Channel) => resample(c, { sampleRate: 80 }), (c: Channel) => upsamplePeaks(c, { factor: 2 })]) {
      for (const channel of [two, crumbs]) expect(() => filter(channel)).toThrow(/(run|sample|factor|window)/);
      expect(() => filter(none)).toThrow('at least one valid sample');
    }
    // One pass needs no room to settle: a step of 1 comes through by the first coefficients.
    expect(Array.from(lowpass(two, { cutoff: 10, zeroPhase: false }).values)).toEqual([expect.closeTo(1, 12), expect.closeTo(1 + design.sections[0]! * design.sections[6]!, 12)]);
  });
});
