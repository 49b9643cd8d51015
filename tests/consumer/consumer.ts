// What a user writes, compiled by the TypeScript 5.0 of tslab with its settings. Never run.
import * as qs from 'quillshaft';
import { makeChannel, makeRecording, pick, plotHistory, show, toSvg, type Channel, type Recording } from 'quillshaft';

const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values: new Float64Array(4) });
const run: Recording = makeRecording('run', [torque]);
const again: Channel<'N·m'> = pick(run, 'torque', 'N·m');
const samples: Float64Array = again.values;
const rate: number = qs.convert(again, 'kN·m').sampleRate;
const picture: string = toSvg(plotHistory(again));
show(samples, rate, picture);

// A type that is silently `any` would let these pass.
type IsAny<T> = 0 extends 1 & T ? true : false;
const notAny: [IsAny<typeof torque.values>, IsAny<typeof run.channels>, IsAny<ReturnType<typeof toSvg>>, IsAny<typeof again.unit>] = [false, false, false, false];
void notAny;

// @ts-expect-error a channel in volts is no channel in newton metres
const mixed: Channel<'N·m'> = makeChannel({ name: 'bridge', unit: 'V', sampleRate: 2000, values: [1] });
// @ts-expect-error a channel cannot be changed in place
torque.sampleRate = 3;
// @ts-expect-error no such unit
makeChannel({ name: 'bridge', unit: 'furlong', sampleRate: 2000, values: [1] });
void mixed;
