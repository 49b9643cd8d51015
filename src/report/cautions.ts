import { rpm } from '../record/units.js';
import type { Assessment } from './assess.js';

/** Mass of the thrown part whose load is printed, kg. */
const thrownMass = 0.05;

/** What a reader must keep in mind around the shaft and around the number, with the load of a thrown part at this run's top speed. */
export function cautionsOf(found: Assessment): readonly string[] {
  const { speed } = found.signal;
  const cautions = ['Work on the shaft (gauges, telemetry, cabling) only when it is locked out, tagged and its stored torque released. Put every guard back before it runs.'];
  if (speed) {
    let top = 0;
    for (const v of speed.values) if (Math.abs(v) > top) top = Math.abs(v);
    const radius = found.job.shaft.outerDiameter / 2;
    const load = thrownMass * rpm(top) ** 2 * radius;
    cautions.push(`What is fixed to a shaft is thrown when it comes loose: at this run's top speed of ${top.toPrecision(3)} rpm a part of 50 g on the surface of the ${(2000 * radius).toPrecision(3)} mm shaft pulls with ${load.toPrecision(2)} N. Secure it for more, and stay out of its plane.`);
  }
  cautions.push('This is an estimate of life from measured torque. It does not replace approval by the code or class that applies, nor the judgement of a licensed engineer. Local codes come first.');
  cautions.push('It holds while the shaft runs as it was recorded. Loads that are not in the record (short circuits, jams, other states) are not in the life.');
  return cautions;
}
