import { describe, expect, it } from 'vitest';
import {
  barredSpeedRange, combineCycles, countCycles, criticalPlane, curveLibrary, cutOut, cyclesFromTable, cyclesToFailure, damage, damageByState, damageByTime, damageContinuations, damagedCurve, directAmplitude, dutyMix, enduranceLimit,
  equivalentRange, equivalentStress, estimateStrainLife, fatigueNotchFactor, fatigueSafety, findleyFactor, fitLifeCurve, gearTorqueExponent, goughPollard, GPa, grooveKts, holeKts, keywayKts, leastShaftDiameter, life, lifeCurve,
  localStress, makeChannel, meanStressBounds, meanStressFactor, mm, MPa, neuberCycle, nominalStress, notchFactor, notchSensitivity, rotatingBendingCycles, shaftSteel, shearStress, shiftSurvival, shoulderKts, solidSection, spectralDamage,
  spectralMoments, staticMargin, strainLifeDamage, stressAtLife, stressCycles, vibrationLimits, vibrationUtilisation, walkerExponentOfSteel, weibullDamage,
} from '../../src/index.js';
import { breaches } from '../hostileArguments.js';

type Verb = (...args: never[]) => unknown;

/** A verb whose result may be without end where its docstring says so: those keys are told as a text. */
const endless = (verb: Verb, ...keys: readonly string[]): Verb => (...args) => {
  const told = (value: unknown, key: string): unknown => {
    if (value === Infinity && keys.includes(key)) return 'without end';
    if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value) || Array.isArray(value)) return value;
    return Object.fromEntries(Object.entries(value).map(([k, inner]) => [k, told(inner, k)]));
  };
  return told(verb(...args), 'result');
};

const table = cyclesFromTable({ unit: 'Pa', range: [MPa(300), MPa(200)], mean: [MPa(20), MPa(-10)], count: [10, 1e4], hours: 2 });
const nominal = stressCycles(table, { basis: 'nominal', kind: 'shear', source: 't' });
const notch = notchFactor({ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' });
const local = localStress(nominal, notch);
const direct = stressCycles(table, { basis: 'local', kind: 'direct', source: 't' });
const shearCurve = curveLibrary.synthetic({ kind: 'shear', ultimate: MPa(700), enduranceLimit: MPa(90) });
const directCurve = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(700), enduranceLimit: MPa(200) });
const shaft = solidSection(mm(50));
const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 20, values: Float64Array.from({ length: 80 }, (_, i) => 3000 * Math.sin(i) + 200 * Math.sin(i / 7)) });
const tau = shearStress(torque, shaft);
const counted = localStress(shearStress(countCycles(torque), shaft), notch);
const options = { curve: shearCurve, meanStress: { rule: 'goodman', ultimate: MPa(700), shear: 'von Mises' }, residue: 'half' } as const;
const done = damage(counted, options);
const tests = [948, 834, 703, 631, 579, 524].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130, 43860, 132150][i]!, runout: false }));
const curveData = { name: 'c', kind: 'shear', measure: 'range', through: { stress: MPa(100), cycles: 2e6 }, slope: 3, bend: { cycles: 5e6, slope: 5 }, knee: 1e8, beyond: 'cut-off', slopeBeyond: 9, ratio: -1, survival: 0.95, deviation: 0.2, tested: { from: 1e4, to: 1e7 }, notch: 'in the curve', specimen: 's', source: 't' } as const;
const density = { frequency: [0, 1, 2, 3, 4], density: [0, 4e14, 9e14, 4e14, 0], of: 'Pa' } as const;
const smooth = { shear: notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 't' }), direct: notchFactor({ kind: 'direct', value: 1, basis: 'fatigue', source: 't' }) };
const steel = estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) });
const shoulder = shoulderKts({ largeDiameter: mm(75), smallDiameter: mm(60), radius: mm(3) });
const limits = vibrationLimits({ tensileStrength: MPa(600), steel: 'carbon', diameter: mm(250), feature: 'straight or flange', speedRatios: [0.6, 1] });

describe('hostile arguments to the verbs of fatigue give an InputError with a sentence, or a result of numbers', () => {
  it.each<readonly [string, Verb, readonly unknown[]]>([
    ['lifeCurve', lifeCurve, [curveData]],
    ['cyclesToFailure', endless(cyclesToFailure, 'result'), [shearCurve, { measure: 'amplitude', kind: 'shear', value: MPa(120) }, 'reduced-slope']],
    ['stressAtLife', stressAtLife, [shearCurve, 1e5, 'same-slope']],
    ['en1993Direct', curveLibrary.en1993Direct, [71, 1.15]],
    ['en1993Shear', curveLibrary.en1993Shear, [100, 1.15]],
    ['dnvAir', curveLibrary.dnvAir, ['D', { actual: 0.05, reference: 0.025, exponent: 0.2 }]],
    ['iiwShear', curveLibrary.iiwShear, [100]],
    ['iiwDirect', curveLibrary.iiwDirect, [90]],
    ['bs7608', curveLibrary.bs7608, ['F', 2]],
    ['iso19902', curveLibrary.iso19902, ['D']],
    ['synthetic', curveLibrary.synthetic, [{ kind: 'shear', ultimate: MPa(700), enduranceLimit: MPa(90), fraction: 0.85, shearStrength: 0.67 }]],
    ['points', curveLibrary.points, [{ name: 'p', kind: 'shear', measure: 'amplitude', points: [{ stress: MPa(300), cycles: 1e4 }, { stress: MPa(150), cycles: 1e6 }], knee: 1e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' }]],
    ['shiftSurvival', shiftSurvival, [curveLibrary.bs7608('F', 2), 0.9]],
    ['fitLifeCurve', fitLifeCurve, [tests, { name: '4340', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 't', specimen: 's', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 }]],
    ['damagedCurve', damagedCurve, [directCurve, { stress: MPa(400), cycles: 100, rule: 'Manson' }]],
    ['directAmplitude', directAmplitude, [MPa(40)]],
    ['cyclesFromTable', cyclesFromTable, [{ unit: 'Pa', range: [1e8, 2e8], mean: [0, 1e7], count: [1, 2], hours: 2 }]],
    ['stressCycles', stressCycles, [table, { basis: 'local', kind: 'shear', source: 't' }]],
    ['shearStress', shearStress, [torque, shaft]],
    ['localStress', localStress, [nominal, notch]],
    ['notchFactor', notchFactor, [{ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' }]],
    ['meanStressFactor', meanStressFactor, [{ rule: 'goodman', ultimate: MPa(860), shear: 'von Mises' }, { kind: 'shear', amplitude: MPa(100), mean: MPa(30) }]],
    ['meanStressFactor after Walker', meanStressFactor, [{ rule: 'walker', exponent: 0.65 }, { kind: 'direct', amplitude: MPa(100), mean: MPa(30) }]],
    ['walkerExponentOfSteel', walkerExponentOfSteel, [MPa(900)]],
    ['damage', damage, [local, { ...options, continuation: 'cut-off', classes: 8, largest: 2 }]],
    ['damageContinuations', damageContinuations, [local, options]],
    ['damageByTime', damageByTime, [done, { every: 1 }]],
    ['damageByState', damageByState, [done, [{ name: 'a', from: 0, to: 1 }, { name: 'b', from: 1, to: 3 }]]],
    ['meanStressBounds', endless(meanStressBounds, 'ratio'), [local, options]],
    ['life', endless(life, 'hours', 'years'), [damage(local, options), { criticalSum: 0.8, hoursPerYear: 4000 }]],
    ['equivalentRange', equivalentRange, [local, { slopes: [3, 5], cycles: 1e6, residue: 'half' }]],
    ['staticMargin', endless(staticMargin, 'margin'), [nominal, { yieldStrength: MPa(355) }]],
    ['staticMargin of a channel', endless(staticMargin, 'margin'), [tau, { yieldStrength: MPa(355) }]],
    ['dutyMix', endless(dutyMix, 'years', 'high'), [[{ name: 'full', damage: done, hours: 4000 }, { name: 'part', damage: done, hours: 2000 }], { starts: [{ name: 'start', damage: done, contained: 1, perYear: 300 }], certainty: 50, criticalSum: 0.9, draws: 100, seed: 1, level: 0.9 }]],
    ['cutOut', cutOut, [torque, done.largest[0], { before: 0.5, after: 1 }]],
  ])('%s', (_, verb, args) => {
    expect(breaches(verb, args)).toEqual([]);
  });
  it.each<readonly [string, Verb, readonly unknown[]]>([
    ['shoulderKts', shoulderKts, [{ largeDiameter: mm(75), smallDiameter: mm(60), radius: mm(3), loading: 'bending', after: 'Peterson' }]],
    ['shoulderKts after DIN', shoulderKts, [{ largeDiameter: mm(75), smallDiameter: mm(60), radius: mm(3), after: 'DIN 743-2' }]],
    ['grooveKts', grooveKts, [{ diameter: mm(50), depth: mm(2.5), radius: mm(2.5), loading: 'torsion' }]],
    ['holeKts', holeKts, [{ outerDiameter: mm(50), innerDiameter: mm(10), holeDiameter: mm(5), equivalence: 'von Mises' }]],
    ['keywayKts', keywayKts, [{ diameter: mm(50), radius: mm(1), loading: 'torsion', key: 'empty' }]],
    ['notchSensitivity', notchSensitivity, [{ method: 'Peterson', kind: 'shear', ultimate: MPa(900), radius: mm(2) }]],
    ['fatigueNotchFactor', fatigueNotchFactor, [shoulder, { method: 'Peterson', ultimate: MPa(700) }]],
    ['fatigueNotchFactor after Heywood', fatigueNotchFactor, [shoulder, { method: 'Heywood', ultimate: MPa(700) }]],
    ['enduranceLimit', enduranceLimit, [{ ultimate: MPa(690), surface: 'ground', loading: 'torsion', diameter: mm(32), rotating: true, reliability: 0.9, factors: { other: 0.9 } }]],
    ['fatigueSafety', fatigueSafety, [{ criterion: 'gerber', amplitude: MPa(100), mean: MPa(100), endurance: MPa(200), ultimate: MPa(800) }]],
    ['equivalentStress', equivalentStress, [{ direct: MPa(60), shear: MPa(40) }]],
    ['goughPollard', goughPollard, [{ direct: MPa(60), shear: MPa(80), directLimit: MPa(120), shearLimit: MPa(100), shape: 'arc' }]],
    ['combineCycles', combineCycles, [local, { rotatingBending: MPa(30), steady: MPa(5), residue: 'half' }]],
    ['criticalPlane', criticalPlane, [tau, { rotatingBending: MPa(30), steady: MPa(5), speed: 3, notch: smooth, sensitivity: 0.3, curve: shearCurve, residue: 'half', continuation: 'cut-off', planes: 4 }]],
    ['findleyFactor', findleyFactor, [{ direct: MPa(260), shear: MPa(160) }]],
    ['nominalStress', nominalStress, [shaft, { torque: 1000, bending: 500, axial: 100 }]],
    ['rotatingBendingCycles', rotatingBendingCycles, [{ amplitude: MPa(40), steady: MPa(5), speed: { constant: 150, hours: 2 } }]],
    ['estimateStrainLife', estimateStrainLife, [{ ultimate: MPa(700), elasticModulus: GPa(210) }]],
    ['neuberCycle', neuberCycle, [MPa(600), steel]],
    ['strainLifeDamage', endless(strainLifeDamage, 'cycles'), [direct, { material: steel, residue: 'half' }]],
    ['weibullDamage', weibullDamage, [{ largest: MPa(200), cycles: 1e8, shape: 1 }, { curve: shearCurve, continuation: 'same-slope' }]],
    ['gearTorqueExponent', gearTorqueExponent, [{ factor: 2.5, from: 1e3, to: 3e6, failure: 'tooth root' }]],
    ['shaftSteel', shaftSteel, ['42CrMo4', mm(90), 'quenched and tempered']],
    ['spectralMoments', spectralMoments, [density, { from: 1, to: 3 }]],
    ['spectralDamage', spectralDamage, [density, { curve: directCurve, factor: 2, from: 1, to: 3, continuation: 'same-slope' }]],
    ['vibrationLimits', vibrationLimits, [{ tensileStrength: MPa(600), steel: 'alloy', diameter: mm(250), feature: 'radial hole', speedRatios: [0.6, 1] }]],
    ['vibrationUtilisation', vibrationUtilisation, [nominal, { limits, speedRatio: 0.6, running: 'transient' }]],
    ['barredSpeedRange', barredSpeedRange, [{ criticalSpeed: 6, ratedSpeed: 12 }]],
    ['leastShaftDiameter', leastShaftDiameter, [{ power: 1e6, ratedSpeed: 12, tensileStrength: MPa(560), driveFactor: 100, featureFactor: 1, boreRatio: 0.3 }]],
  ])('%s', (_, verb, args) => {
    expect(breaches(verb, args)).toEqual([]);
  });
});
