import { describe, expect, it } from 'vitest';
import {
  compareModes, countCycles, crossSpectrum, curveLibrary, damage, damageByTime, damageConvergence, designLowpass, dutyMix, estimateLoss, eventTrend, exceedance, closeResidue, fileSumLoss, findFaults,
  fitAmbient, fitLifeCurve, fitPowerLaw, fitRingDown, fitZero, forcedResponse, halfPowerDamping, lifeBand, lossMap, makeChannel, MPa, noiseFloor, orderSpectrum, orderTracks, powerBalance, powerDensity,
  powerEfficiency, responseOf, rpm, segmentStates, spectrogram, speedCrossings, speedMap, stressCycles, survivalAt, toShaftAngle, torqueEvents, torqueSpeedMap, torsionalModes, tornado, uncertaintyBudget, vibrationLimits,
  windowFigures, zeroStability, type Channel,
} from '../../src/index.js';
import { bundleOf } from '../../src/kernel/bundle.js';
import { shaken } from '../shaken.js';

const channel = (values: ArrayLike<number>, sampleRate = 100): Channel<'N·m'> => makeChannel({ name: 'T', unit: 'N·m', sampleRate, values: Float64Array.from(values) });
const fill = (length: number, at: (i: number) => number): Float64Array => Float64Array.from({ length }, (_, i) => at(i));

const wave = channel(fill(400, (i) => Math.sin(i) + (i % 7) / 9));
const turning = makeChannel({ name: 'w', unit: 'rad/s', sampleRate: 100, values: fill(400, (i) => 20 * Math.PI + Math.cos(i) * wave.values[i]!) });
const record = toShaftAngle(wave, { speed: turning, samplesPerRevolution: 16 });
const ramp = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: fill(600, (i) => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8))) });
const load = channel(ramp.values.map((v) => 3 * v * v), 10);
const states = segmentStates(load, { speed: ramp, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 });
const stress = makeChannel({ name: 's', unit: 'Pa', sampleRate: 10, values: fill(4000, (i) => MPa(90) * Math.sin(i) * (1 + Math.sin(i / 300))) });
const local = stressCycles(countCycles(stress), { basis: 'local', kind: 'shear', source: 'by hand' });
const rule = { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' } as const;
const timed = damage(local, rule);
const train = { inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000, damping: 1 }] };
const near = (value: number): { value: number; standardError: number; low: number; high: number } => ({ value, standardError: 0.01, low: value - 0.01, high: value + 0.01 });
const inputs = { gauge: { shape: 'normal', deviation: 0.02 } } as const;

const flow = (T: number, w: number): ReturnType<typeof powerBalance> => powerBalance(channel(fill(40, () => T), 10), { speed: makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: fill(40, () => w) }), wholeRevolutions: false, uncertainty: { torque: 0.01 } });

/** What a reader must find on the card of each kind, and whether a figure stands on it. */
const cards: readonly (readonly [string, () => object, RegExp, boolean])[] = [
  ['UncertaintyBudget', () => uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 } }, model: ({ a }) => a!, draws: 0 }), /<th>standard uncertainty<\/th>/, true],
  ['FaultReport', () => findFaults(channel(fill(2000, (i) => (i > 500 && i < 800 ? 0 : Math.sin(i / 9) + (i % 7) / 50)))), /<td>(held value|dropout)<\/td>/, false],
  ['ZeroModel', () => fitZero(channel([-2, 1, -3, 5], 1), { rest: [{ from: 0, to: 4 }], model: 'constant' }), /<td>offset<\/td>|<td>constant<\/td>/, false],
  ['ZeroStability', () => zeroStability(shaken(), { window: { from: 0, to: 120 }, averages: [0.1, 1, 10] }), /best time/, true],
  ['LossMap', () => lossMap(channel(fill(100, (i) => (i % 20 === 3 ? NaN : i % 9)))), /gaps/, true],
  ['RingDown', () => fitRingDown(channel(fill(1000, (i) => 900 * Math.exp(-i / 250) * Math.cos(0.3 * i)), 500), { from: 0, to: 2 }), /damping \/ %/, true],
  ['AmbientFit', () => fitAmbient(shaken(), { band: { from: 6, to: 10 }, segment: 2048 }), /frequency<\/span> <b[^>]*>[78]\.\d+ \([78]\.\d+ to 8\.\d+\)/, true],
  ['HalfPowerDamping', () => {
    const frequency = Array.from({ length: 4001 }, (_, i) => 8 + i / 4000);
    return halfPowerDamping({ frequency, amplitude: frequency.map((f) => 1 / Math.hypot(1 - (f / 8.4) ** 2, 0.02 * (f / 8.4))) });
  }, /damping ratio<\/span> <b[^>]*>0\.0100?/, false],
  ['ModeComparison', () => compareModes([{ from: 'ring-down', frequency: near(8.44), dampingRatio: near(0.007) }, { from: 'sweep', frequency: near(8.45), dampingRatio: near(0.012) }]), /<td>ring-down<\/td>/, true],
  ['TorsionalModes', () => torsionalModes(train), /frequency \[Hz\]/, true],
  ['ForcedResponse', () => forcedResponse(train, { at: 'motor', frequency: [1, 2, 3] }), /<svg/, true],
  ['FrequencyResponse', () => responseOf(designLowpass({ cutoff: 10, order: 2, sampleRate: 100 })), /<svg/, true],
  ['CrossSpectrum', () => crossSpectrum(wave, turning, { segment: 64 }), /segments/, true],
  ['Spectrogram', () => spectrogram(wave, { segment: 64 }), /segments/, true],
  ['OrderSpectrum', () => orderSpectrum(record, { revolutions: 10 }), /revolutions/, true],
  ['OrderTracks', () => orderTracks(record, { revolutions: 4, orders: [1, 2] }), /revolutions/, true],
  ['SpeedMap', () => speedMap(wave, { axis: 'frequency', speed: turning, classWidth: rpm(60), segment: 64 }), /<svg/, true],
  ['SpeedCrossings', () => speedCrossings({ frequencies: [24], damping: 0.02, orders: [1], from: rpm(300), to: rpm(1800), running: rpm(990) }), /amplification/, true],
  ['TorqueSpeedMap', () => torqueSpeedMap(load, { speed: ramp, torqueEdges: [0, 2000, 5000], speedEdges: [0, 10, 20, 50] }), /<svg/, true],
  ['NoiseFloor', () => noiseFloor(powerDensity(wave, { segment: 64 })), /<table/, false],
  ['WindowFigures', () => windowFigures('hann'), /enbw/i, false],
  ['MachineStates', () => states, /<td>steady<\/td>/, true],
  ['TorqueEvents', () => torqueEvents(load, { states }), /<td>start<\/td>|peak \[N·m\]/, false],
  ['EventTrend', () => eventTrend([100, 110, 120, 130].map((peak) => ({ state: 'start', peak, amplification: null, riseTime: null })) as never, 'peak'), /slope<\/span> <b[^>]*>10 \(10 to 10\)/, false],
  ['PowerBalance', () => flow(310, 155), /mean power/, false],
  ['PowerEfficiency', () => powerEfficiency(flow(310, 155), flow(1180, 39)), /efficiency<\/span> <b[^>]*>0\.957/, false],
  ['PowerLawFit', () => fitPowerLaw({ speed: [10, 20, 40], power: [1000, 8000, 66000] }), /exponent/, false],
  ['DutyMix', () => dutyMix([{ name: 'all day', damage: timed, hours: 8000 }, { name: 'at night', damage: timed, hours: 100 }]), /<td>all day<\/td>/, true],
  ['DamageConvergence', () => damageConvergence(timed, { within: 0.2 }), /verdict/, true],
  ['DamageByTime', () => damageByTime(timed, { every: 40 }), /from \[s\]/, false],
  ['Exceedance', () => exceedance(closeResidue(countCycles(channel([0, 5, 1, 4, 0])), 'half')), /range \[N·m\]/, false],
  ['FileSumLoss', () => fileSumLoss([countCycles(channel([0, 5, 1])), countCycles(channel([1, 9, 0]))], { exponent: 5, residue: 'half' }), /ratio/, false],
  ['LossEstimate', () => estimateLoss(channel(fill(600, (i) => (i % 100 < 10 ? NaN : Math.sin(i))), 10), { of: (c) => closeResidue(countCycles(c), 'half').range.length, within: 5, draws: 20 }), /lost part/, false],
  ['LifeBand', () => lifeBand(local, { ...rule, inputs, draws: 100 }), /not reached with/, true],
  ['Survival', () => survivalAt(lifeBand(local, { ...rule, inputs, draws: 100 }), 1), /survival/, false],
  ['Tornado', () => tornado(local, { ...rule, inputs, alternatives: [] }), /<svg/, true],
  ['LifeFit', () => fitLifeCurve([948, 834, 703, 631].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130][i]! })), { name: 'x', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'by hand', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 }), /slope/, true],
  ['VibrationLimits', () => vibrationLimits({ tensileStrength: MPa(600), steel: 'carbon', diameter: 0.3, feature: 1, speedRatios: [0.5, 0.9, 1] }), /limit \[Pa\]/, false],
];

describe('the card of a result at the end of a cell', () => {
  it.each(cards)('%s', (kind, make, content, figure) => {
    const bundle = bundleOf(make());
    const html = bundle['text/html'] as string;
    expect(bundle['text/plain']).toMatch(/\S/);
    expect(html).toMatch(content);
    expect(html.includes('<svg'), 'a figure').toBe(figure);
    expect(html).not.toContain('No figure:');
    expect(html).not.toMatch(/undefined|\[object|NaN/);
    expect(JSON.stringify(bundle).length, kind).toBeLessThan(300_000);
  });
  it('says its kind once', () => {
    const [, ring] = cards.find(([kind]) => kind === 'RingDown')!;
    expect(bundleOf(ring())['text/html']).toMatch(/>Ring down<\/span> <span style="overflow-wrap:anywhere">\d/);
  });
});
