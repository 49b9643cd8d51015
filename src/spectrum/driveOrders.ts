import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';

/** What excites a shaft, by the part that does it. */
export interface DriveParts {
  /** Speed of the part's shaft over that of the reference shaft. Default 1. */
  readonly ratio?: number;
  /** Teeth of a gear on it. */
  readonly teeth?: number;
  /** Blades or vanes of a pump, fan or propeller on it. */
  readonly blades?: number;
  /** A universal joint on it. */
  readonly universalJoint?: boolean;
  /** A piston engine on it. */
  readonly engine?: { readonly cylinders: number; readonly stroke: 2 | 4 };
}

/** One excitation: its order on the reference shaft and what it is. */
export interface DriveOrder {
  readonly order: number;
  readonly name: string;
}

/**
 * Lists the excitation orders of a drive, as multiples of the reference shaft's speed: shaft 1×, universal joint 2×, gear mesh
 * z×, blade pass Z×, firing N/2 (four-stroke) or N (two-stroke); each times the ratio of its shaft.
 *
 * @param drive parts by the name of their shaft
 * @returns orders, lowest first
 * @throws InputError for a part that is not a whole number above 0
 * @example driveOrders({ pump: { blades: 4 } }).map((o) => o.order) // => [1,4]
 * @references J. P. Den Hartog, Mechanical Vibrations; W. K. Wilson, Practical Solution of Torsional Vibration Problems (textbook relations, from memory).
 */
export function driveOrders(drive: Readonly<Record<string, DriveParts>>): readonly DriveOrder[] {
  const where = 'driveOrders';
  const orders: DriveOrder[] = [];
  if (typeof drive !== 'object' || drive === null || Array.isArray(drive)) throw new InputError({ where, argument: 'drive', expected: 'an object with the parts by the name of their shaft', given: show(drive) });
  for (const [name, part] of Object.entries(drive)) {
    checkOptions(`${where}, ${name}`, part, { optional: ['ratio', 'teeth', 'blades', 'universalJoint', 'engine'] });
    const ratio = checkNumber(where, `ratio of ${name}`, part.ratio ?? 1, { above: 0 });
    const add = (order: number, what: string): void => void orders.push(Object.freeze({ order: order * ratio, name: `${name}: ${what}` }));
    const whole = (value: number, what: string): number => checkNumber(where, `${what} of ${name}`, value, { integer: true, min: 1 });
    add(1, 'turning');
    if (part.universalJoint) add(2, 'universal joint');
    if (part.teeth !== undefined) add(whole(part.teeth, 'teeth'), 'gear mesh');
    if (part.blades !== undefined) add(whole(part.blades, 'blades'), 'blade pass');
    if (part.engine) {
      const cylinders = whole(part.engine.cylinders, 'engine.cylinders');
      checkChoice(where, `engine.stroke of ${name}`, String(part.engine.stroke), ['2', '4']);
      add(part.engine.stroke === 4 ? cylinders / 2 : cylinders, 'firing');
    }
  }
  if (orders.length === 0) throw new InputError({ where, argument: 'drive', expected: 'at least one shaft', given: 'none' });
  return Object.freeze(orders.sort((a, b) => a.order - b.order));
}

/**
 * Speed ratio of a single universal joint at an input angle: ω_out/ω_in = cos β / (1 − sin²β·cos²θ), with θ measured so that
 * the ratio is greatest, 1/cos β, at 0.
 *
 * @param bend β, rad, 0 ≤ β < π/2
 * @param angle θ of the input, rad
 * @returns ω_out/ω_in
 * @throws InputError for a bend outside its range
 * @see driveOrders, universalJointAcceleration
 * @example universalJointRatio((25 * Math.PI) / 180, 0) // => 1.1033779
 * @references C. W. Hooke's joint, tan θ_out = tan θ_in / cos β (any kinematics text).
 */
export function universalJointRatio(bend: number, angle: number): number {
  checkNumber('universalJointRatio', 'bend', bend, { min: 0, below: Math.PI / 2, unit: 'rad' });
  checkNumber('universalJointRatio', 'angle', angle, { unit: 'rad' });
  return Math.cos(bend) / (1 - Math.sin(bend) ** 2 * Math.cos(angle) ** 2);
}

/**
 * Angular acceleration of the driven shaft of a single universal joint at a steady input speed: α = −ω²·cos β·sin²β·sin 2θ / (1 − sin²β·cos²θ)², with θ as in
 * universalJointRatio. Times the inertia behind the joint it is the torque that the joint alone makes, twice a revolution.
 *
 * @param bend β, rad, 0 ≤ β < π/2
 * @param angle θ of the input, rad
 * @param speed ω of the input, rad/s
 * @returns rad/s²
 * @throws InputError for a bend outside its range
 * @see universalJointRatio
 * @example universalJointAcceleration((20 * Math.PI) / 180, (-41.4587 * Math.PI) / 180, rpm(1500)) // => 3083.40
 * @references Derivative over time of the ratio of Hooke's joint (any kinematics text).
 */
export function universalJointAcceleration(bend: number, angle: number, speed: number): number {
  const where = 'universalJointAcceleration';
  checkNumber(where, 'bend', bend, { min: 0, below: Math.PI / 2, unit: 'rad' });
  checkNumber(where, 'angle', angle, { unit: 'rad' });
  checkNumber(where, 'speed', speed, { unit: 'rad/s' });
  return (-(speed ** 2) * Math.cos(bend) * Math.sin(bend) ** 2 * Math.sin(2 * angle)) / (1 - Math.sin(bend) ** 2 * Math.cos(angle) ** 2) ** 2;
}
