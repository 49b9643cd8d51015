import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import { kindOf, makeResult } from '../record/result.js';
import type { LineSpectrum } from './lineSpectrum.js';

/**
 * Turns the line spectrum of a shaft's speed into that of its angle of torsional vibration: what a speed swing of each frequency amounts to in angle.
 *
 * Definition: angle amplitude = speed amplitude/(2π·f); 0 at 0 Hz. Noise of the speed grows towards 0 Hz by the division.
 *
 * @param spectrum from lineSpectrum of a channel in rad/s
 * @returns the same spectrum in rad, with its kind of amplitude kept
 * @throws InputError for something that is no line spectrum, or one of another unit
 * @see speedFromPulses, lineSpectrum
 * @example
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 52 + 5 * Math.cos(2 * Math.PI * 0.025 * i)) });
 * vibrationAngle(lineSpectrum(speed, { segment: 1000 })).amplitude[25] // => 0.031831
 */
export function vibrationAngle(spectrum: LineSpectrum): LineSpectrum {
  const where = 'vibrationAngle';
  if (kindOf(spectrum) !== 'LineSpectrum') throw new InputError({ where, argument: 'spectrum', expected: 'a LineSpectrum', given: show(spectrum), remedy: 'Make one with lineSpectrum from a speed channel.' });
  if (spectrum.of !== 'rad/s') throw new InputError({ where, argument: `unit of ${spectrum.name}`, expected: 'rad/s', given: spectrum.of, remedy: "Use convert(speed, 'rad/s') before lineSpectrum." });
  const amplitude = spectrum.amplitude.map((a, k) => (k === 0 ? 0 : a / (2 * Math.PI * spectrum.frequency[k]!)));
  return makeResult<LineSpectrum>('LineSpectrum', { ...spectrum, amplitude, unit: 'rad', of: 'rad' },
    (s) => `LineSpectrum of the vibration angle of ${s.name} [${s.unit} ${s.kind}]: 0 to ${s.sampleRate / 2} Hz, ${s.segments} segments`);
}
