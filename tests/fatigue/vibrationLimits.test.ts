import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { barredSpeedRange, cyclesFromTable, kNm, leastShaftDiameter, localStress, MPa, mm, notchFactor, rpm, shearStress, solidSection, vibrationLimits, vibrationUtilisation, type ShaftFeature } from '../../src/index.js';
import { near } from './near.js';

const base = { tensileStrength: MPa(600), steel: 'carbon', diameter: mm(250), feature: 'straight or flange', speedRatios: [0.6] } as const;

describe('IACS UR M68', () => {
  it('CL-01: size factor C_D = 0.35 + 0.93 d^−0.2 (M68.5, found text)', () => {
    for (const [d, expected] of [[100, 0.720239669], [200, 0.672312352], [300, 0.64720677], [500, 0.618342182]] as const) near(vibrationLimits({ ...base, diameter: mm(d) }).sizeFactor, expected, 1e-6);
  });
  it('CL-03: continuous and transient limits over the table of C_K, σ_B 600, d 250, λ 0.6 (first three C_K found, the others from memory)', () => {
    const rows: readonly [ShaftFeature, number, number][] = [
      ['straight or flange', 63.3669773, 107.723861], ['shrink fit', 63.3669773, 107.723861], ['keyway, tapered', 38.0201864, 83.4425442], ['keyway, cylindrical', 28.5151398, 72.263363],
      ['radial hole', 31.6834886, 76.1722729], ['longitudinal slot', 19.0100932, 59.0027888], ['thrust collar', 53.8619307, 99.3164929], ['propeller shaft, flange or keyless', 34.8518375, 79.8901538],
      ['propeller shaft, keyed', 34.8518375, 79.8901538], ['propeller shaft, forward part', 50.6935818, 96.3511507]];
    for (const [feature, continuous, transient] of rows) {
      const found = vibrationLimits({ ...base, feature });
      near(found.continuous[0]!, MPa(continuous), 1e-6, feature);
      near(found.transient.limit[0]!, MPa(transient), 1e-6, feature);
    }
  });
  it('CL-04: least diameter 401.69 mm for 10 MW at 120 rpm, and its torque (M68.4, from memory)', () => {
    near(leastShaftDiameter({ power: 1e7, ratedSpeed: rpm(120), tensileStrength: MPa(560), driveFactor: 100, featureFactor: 1, boreRatio: 0 }), mm(401.690377), 1e-6);
    near(1e7 / rpm(120), kNm(795.774715), 1e-6);
  });
  it('CL-07: a torque amplitude of 150 kN·m on 300 mm uses 0.590244 of the limit at λ 0.7 (own numbers)', () => {
    const limits = vibrationLimits({ tensileStrength: MPa(500), steel: 'carbon', diameter: mm(300), feature: 1, speedRatios: [0.7, 0.95] });
    const cycles = shearStress(cyclesFromTable({ unit: 'N·m', range: [kNm(300), kNm(20)], count: [1, 50], hours: 1 }), solidSection(mm(300)));
    const found = vibrationUtilisation(cycles, { limits, speedRatio: 0.7, running: 'continuous' });
    near(found.halfRange, MPa(28.2942121), 1e-6);
    near(found.limit, MPa(47.9364481), 1e-6);
    near(found.utilisation, 0.590244235, 1e-6);
    expect(vibrationUtilisation(cycles, { limits, speedRatio: 0.95, running: 'continuous' }).utilisation).toBeGreaterThan(found.utilisation);
  });
  it('the limit falls with the speed ratio to 0.9 and is flat to 1.05', () => {
    const found = vibrationLimits({ ...base, speedRatios: [0.1, 0.5, 0.89999999, 0.9, 1, 1.0499] });
    const [a, b, c, d, e, f] = Array.from(found.continuous);
    expect(a! > b! && b! > c!).toBe(true);
    near(c!, d!, 1e-6);
    expect(d === e && e === f).toBe(true);
    expect(Array.from(found.transient.speedRatio)).toEqual([0.1, 0.5]);
  });
  it('the tensile strength counts only up to the cap of the steel, and says so', () => {
    expect(vibrationLimits({ ...base, tensileStrength: MPa(700) }).notes.join()).toContain('counts only up to 600 MPa');
    expect(vibrationLimits({ ...base, tensileStrength: MPa(700), steel: 'alloy' }).tensileStrength).toBe(MPa(700));
    expect(vibrationLimits({ ...base, tensileStrength: MPa(700), steel: 'alloy', feature: 'propeller shaft, keyed' }).tensileStrength).toBe(MPa(600));
  });
  it('a factor of its own counts by the shaft that is stated beside it, as the feature of the table with that factor does', () => {
    const alloy = { ...base, tensileStrength: MPa(900), steel: 'alloy' } as const;
    expect(vibrationLimits({ ...alloy, feature: 0.55, shaft: 'propeller' }).continuous).toEqual(vibrationLimits({ ...alloy, feature: 'propeller shaft, keyed' }).continuous);
    expect(vibrationLimits({ ...alloy, feature: 0.85, shaft: 'intermediate' }).continuous).toEqual(vibrationLimits({ ...alloy, feature: 'thrust collar' }).continuous);
    expect(vibrationLimits({ ...alloy, feature: 0.55, shaft: 'propeller' }).notes.join()).toContain('only up to 600 MPa');
    // Carbon steel counts alike on every shaft.
    expect(vibrationLimits({ ...base, feature: 0.55 }).continuous).toEqual(vibrationLimits({ ...base, feature: 0.55, shaft: 'propeller' }).continuous);
  });
  it('the condition under which the factor of a feature holds is said, and only where there is one', () => {
    const notes = (feature: ShaftFeature | number): string => vibrationLimits({ ...base, feature }).notes.join();
    expect(notes('longitudinal slot')).toContain('1.45/scf');
    expect(notes('radial hole')).toContain('0.3 of the outer diameter');
    expect(notes('keyway, tapered')).toContain('speed range is barred');
    for (const plain of ['straight or flange', 'propeller shaft, keyed', 0.3] as const) expect(notes(plain)).not.toContain('from memory');
  });
  it('a barred range holds its critical speed and grows with it (M68.6.3, from memory)', () => {
    fc.assert(fc.property(fc.double({ min: 1, max: 9, noNaN: true }), (critical) => {
      const barred = barredSpeedRange({ criticalSpeed: critical, ratedSpeed: 12 });
      expect(barred.from < critical && critical < barred.to).toBe(true);
      near(barred.from * barred.to, critical * critical, 1e-12);
    }), { numRuns: 200, seed: 4 });
  });
  const cycles = shearStress(cyclesFromTable({ unit: 'N·m', range: [1], count: [1], hours: 1 }), solidSection(mm(300)));
  const local = localStress(cycles, notchFactor({ kind: 'shear', value: 1.5, basis: 'fatigue', source: 't' }));
  it.each([
    [() => vibrationLimits({ ...base, speedRatios: [1.05] }), 'speedRatios[0] must be a finite number above 0 and below 1.05'],
    [() => vibrationLimits({ ...base, feature: 'spline' as never }), "feature must be one of 'straight or flange'"],
    [() => vibrationLimits({ ...base, steel: 'alloy', feature: 0.55 }), "shaft must be 'intermediate' or 'propeller' where alloy steel has a C_K of its own, got nothing"],
    [() => vibrationLimits({ ...base, feature: 0.55, shaft: 'stern' as never }), "shaft must be one of 'intermediate', 'propeller'"],
    [() => vibrationLimits({ ...base, feature: 'thrust collar', shaft: 'propeller' }), 'shaft must be left out where the feature is one of the table'],
    // @ts-expect-error a class limit is nominal: no stress raiser
    [() => vibrationUtilisation(local, { limits: vibrationLimits(base), speedRatio: 0.6, running: 'continuous' }), 'cycles must be cycles of nominal stress, got cycles of local stress'],
    [() => vibrationUtilisation(cycles, { limits: vibrationLimits({ ...base, speedRatios: [0.9] }), speedRatio: 0.9, running: 'transient' }), 'one of the ratios of the limits (none below 0.8)'],
    [() => barredSpeedRange({ criticalSpeed: 9, ratedSpeed: 10 }), 'criticalSpeed must be a finite number above 0 rad/s and below 8 rad/s'],
    [() => leastShaftDiameter({ power: 0, ratedSpeed: 1, tensileStrength: 1, driveFactor: 1, featureFactor: 1, boreRatio: 0 }), 'power must be a finite number above 0'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
