import { describe, expect, it } from 'vitest';
import { lineSpectrum, makeChannel, vibrationAngle } from '../../src/index.js';
import { published } from './golden.js';

describe('vibrationAngle', () => {
  it('reference case torsional-angle (harmonic kinematics): 5 rad/s at 25 Hz, order 3 at 500 rpm, is 1.824°', () => {
    const { inputs, expected } = published('torsional-angle');
    expect((inputs.order * inputs.shaft_rpm) / 60).toBe(inputs.f_Hz);
    const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Float64Array.from({ length: 4000 }, (_, i) => (inputs.shaft_rpm * Math.PI) / 30 + inputs.velocity_amp_rad_s * Math.sin((2 * Math.PI * inputs.f_Hz * i) / 1000)) });
    const angle = vibrationAngle(lineSpectrum(speed, { segment: 1000 }));
    expect(angle.amplitude[25]! / expected.angle_amp_rad).toBeCloseTo(1, 9);
    expect((angle.amplitude[25]! * 180) / Math.PI).toBeCloseTo(expected.angle_amp_deg, 8);
    expect([angle.unit, angle.kind, angle.amplitude[0]]).toEqual(['rad', 'peak', 0]);
  });
  it('refuses what is no speed', () => {
    const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: new Float64Array(100).map((_, i) => i % 7) });
    expect(() => vibrationAngle(lineSpectrum(torque, { segment: 50 }))).toThrow('unit of T must be rad/s, got N·m.');
    expect(() => vibrationAngle({} as never)).toThrow('a LineSpectrum');
  });
});
