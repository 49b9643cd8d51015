import { describe, expect, it } from 'vitest';
import { grouped, spaced, twoFigures, typeset } from '../../src/fatigue/figures.js';

const [thin, bound] = ['\u202f', '\u00a0'];

describe('thousands', () => {
  it('are set apart from four digits on, in lives, whole numbers and decimals alike', () => {
    expect([9012, 999.9, 123456].map(twoFigures)).toEqual([`9${thin}000`, `1${thin}000`, `120${thin}000`]);
    expect([999, 1000, -1234567].map(grouped)).toEqual(['999', `1${thin}000`, `−1${thin}234${thin}567`]);
    expect(['123.4567', '1234.5678', '-12345', '1.2·10⁶', '2026-01-05'].map(spaced)).toEqual(['123.4567', `1${thin}234.5678`, `-12${thin}345`, '1.2·10⁶', '2026-01-05']);
  });
});

describe('typeset', () => {
  it('keeps a number on the line of its unit', () => {
    for (const unit of ['%', 'h', 'N·m', 'kN·m/s', 'Hz/s', 'MPa', 'years', 'cycles', 'closed cycles', '°C', 'rad/s²', 'kg·m²']) expect(typeset(`of 12.5 ${unit}, or`)).toBe(`of 12.5${bound}${unit}, or`);
    expect(typeset('1.2·10⁶ h (90 %)')).toBe(`1.2·10⁶${bound}h (90${bound}%)`);
    expect(typeset('× 0.92, ± 3 rpm')).toBe(`×${bound}0.92, ±${bound}3${bound}rpm`);
  });
  it('sets thousands apart from four digits on, where a unit follows', () => {
    expect(typeset('1234.5678 Hz')).toBe(`1${thin}234.5678${bound}Hz`);
    expect(typeset('9000 to 12000 h')).toBe(`9${thin}000 to 12${thin}000${bound}h`);
    expect(typeset('−1234567 ± 1200 N·m')).toBe(`−1${thin}234${thin}567 ±${bound}1${thin}200${bound}N·m`);
  });
  it('writes no number with an e', () => {
    expect(typeset('2.68e+3 N·m, -1.2e+5, 4e-7 and 1.234e+6 h')).toBe(`2${thin}680${bound}N·m, −120${thin}000, 4·10⁻⁷ and 1.234·10⁶${bound}h`);
    for (const text of ['key 1e-4b', 'a1e-45', '12e-3', '1e6']) expect(typeset(text)).toBe(text);
  });
  it('leaves words, years, names and clock times alone', () => {
    for (const text of ['in 2026 the pump', '2 hours', '3 mm2x', 'part 12 some', '2026-01-05T10:00:00Z', 'run-1234 of', 'SHA-256 12345678', '0.12345', 'DIN 743 keeps', 'order 5 stands']) expect(typeset(text)).toBe(text);
  });
  it('changes nothing the second time', () => {
    const once = typeset('9000 to 12000 h ± 5 %, 1234567.25 N·m');
    expect(typeset(once)).toBe(once);
  });
});
