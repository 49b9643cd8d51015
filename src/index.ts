// The whole public surface of Quillshaft. Each heading is a folder of src/; keep names under their own heading.

// record
export { InputError, FormatError } from './record/errors.js';
export type { InputFault, FormatFault } from './record/errors.js';
export { allUnits, parseUnit, quantityOf, inch, psi, lbfIn, lbfFt, MPa, GPa, mm, kNm, rpm } from './record/units.js';
export type { Unit } from './record/units.js';
export { faults } from './record/span.js';
export type { Span, Run, Fault } from './record/span.js';
export type { Json } from './record/json.js';
export { makeChannel, isChannel, validRuns, validityMask, duration, formatSeconds } from './record/Channel.js';
export type { Channel, ChannelData, Step, Origin } from './record/Channel.js';
export { makeRecording, pick } from './record/Recording.js';
export type { Recording } from './record/Recording.js';
export { convert, assignUnit, rename } from './record/convert.js';
export { slice } from './record/slice.js';
export type { TimeWindow } from './record/slice.js';
export { replay } from './record/replay.js';
export { shiftInstant } from './record/time.js';
export { version } from './record/version.js';

// numeric
export { createRandom } from './numeric/random.js';
export type { Random } from './numeric/random.js';

// import

// gauge

// clean

// filter

// spectrum

// count

// fatigue

// plot

// report

// tables

// kernel
