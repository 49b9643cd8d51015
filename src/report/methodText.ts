import { basename } from 'node:path';
import type { Step } from '../record/Channel.js';
import { formatSeconds } from '../record/Channel.js';
import type { Damage } from '../fatigue/damage.js';
import { continuationName, meanStressName } from '../fatigue/names.js';
import { spaced, twoFigures } from '../fatigue/figures.js';
import type { Life } from '../fatigue/life.js';
import type { Job } from './Job.js';
import { scientific } from './numbers.js';
import type { PreparedSignal } from './prepare.js';

type Bag = Readonly<Record<string, unknown>>;
/** A sentence for a step, from its options and what it found. */
type Sentence = (options: Bag, found: Bag) => string;

const number = (value: unknown, digits = 4): string => (typeof value === 'number' ? spaced(String(Number(value.toPrecision(digits))).replace('-', '−')) : String(value));
const whole = (value: unknown): string => number(value, 15);
const plural = (count: number, word: string): string => `${whole(count)} ${word}${count === 1 ? '' : 's'}`;

/** Says that the sample rate was stated and the file's own time set aside. */
const unusedTime = (columns: unknown): string => (Array.isArray(columns) && columns.length > 0 ? `; its sample rate is as stated, and its own time (${columns.join(', ')}) was not used` : '');

/** One sentence an operation; a step without one is told by its name and options. */
const sentences: Readonly<Record<string, Sentence>> = {
  readRecording: (_, found) => `The file was read with ${found.rows === undefined ? 'all its rows' : `${whole(found.rows)} rows`}${found.sha256 ? ` (SHA-256 ${String(found.sha256).slice(0, 16)}…)` : ''}${unusedTime(found.timeNotUsed)}.`,
  joinRecordings: (_, found) => `${(found.files as unknown[]).length} files were joined in time order${found.placedBy === 'time column' ? ', by their time columns' : ''}${found.timed ? (Number(found.pauses) > 0 ? `; ${formatSeconds(Number(found.pauses))} between them were not recorded and are masked` : ', without a pause') : ', edge to edge, because neither a start nor a time that goes on from file to file places them'}.`,
  makeChannel: (options, found) => `The channel ${options.name} was given as ${whole(found.samples)} samples at ${options.sampleRate} Hz.`,
  assignUnit: (options, found) => `Its unit was stated as ${options.unit} (the file had ${found.before}).`,
  rename: (options, found) => `The channel ${found.before} is called ${options.name} from here on.`,
  convert: (options) => `Values were converted to ${options.unit}.`,
  slice: (options) => `The stretch from ${number(options.from)} s to ${number(options.to)} s was taken.`,
  markInvalid: (_, found) => `${plural(Number(found.samples), 'sample')} (${formatSeconds(Number(found.seconds))}) in ${plural(Number(found.spans), 'span')} were masked: ${Object.entries(found.byReason as Bag).map(([why, n]) => `${why} ${whole(n)}`).join(', ')}. Masked samples are read by no computation and nothing is filled in.`,
  repairClock: (_, found) => `Rows were put at their true time by the frame counter: ${plural(Number(found.lostFrames), 'frame')} (${formatSeconds(Number(found.lostSeconds))}) were lost in ${plural(Number(found.gaps), 'gap')}, which are masked.`,
  speedFromTrain: (options, found) => `Speed came from ${whole(found.pulses)} pulses, ${options.pulsesPerRevolution} to a revolution${options.offsets ? ' of a target whose unevenness was learnt' : ''}: ${whole(found.extra)} too many were taken out, ${whole(found.missing)} were missing.`,
  restInSilence: (_, found) => `Where no pulses came the shaft was taken to stand (${formatSeconds(Number(found.seconds))}).`,
  toTorque: (_, found) => (found.by === 'calibration'
    ? `The signal was turned into torque by calibration, ${number(found.torquePerUnit)} N·m per unit.`
    : `The signal was turned into torque by gauge and section: ${number(found.torquePerUnit, 6)} N·m per unit of signal, shear modulus ${number(Number(found.shearModulus) / 1e9)} GPa, polar section modulus ${number(Number(found.polarModulus) * 1e6)} cm³.`),
  removeZero: (options, found) => {
    const model = options.model as { readonly terms: readonly string[]; readonly states: readonly Bag[] };
    const known = Number(found.standardErrorAtStart) > 0;
    const error = (value: unknown): string => (known ? ` ± ${number(value, 2)}` : '');
    const rests = model.states.map((s) => `${number(s.from)} to ${number(s.to)} s`).join(', ');
    return `The zero was fitted to the rest at ${rests} with the terms ${model.terms.join(' and ')}, and taken off: ${number(found.zeroAtStart, 5)}${error(found.standardErrorAtStart)} N·m at the start, `
      + `${number(found.zeroAtEnd, 5)}${error(found.standardErrorAtEnd)} N·m at the end${known ? '' : '; how well it is known cannot be told from so few samples'}.`;
  },
  lowpass: (options, found) => `A low-pass of order ${found.order ?? options.order} at ${number(options.cutoff)} Hz was run forwards and backwards, so that nothing is shifted in time; both passes together weaken the cutoff by ${number((found.attenuationAtEdges as number[] | undefined)?.[0])} dB.${bridgedText(found.bridged)}`,
};

/** What the filter read where samples are masked; nothing where no gap was bridged. */
function bridgedText(bridged: unknown): string {
  const { gaps = 0, longest } = (bridged ?? {}) as { readonly gaps?: number; readonly longest?: number };
  return gaps === 0 ? '' : ` It read across ${plural(gaps, 'gap')} of at most ${longest} samples by a cubic through their neighbours; they stay masked.`;
}

/** The sentence of one step. */
export function sentenceOf(step: Step): string {
  const write = sentences[step.op];
  if (write) return write((step.options ?? {}) as Bag, (step.found ?? {}) as Bag);
  const options = Object.entries(step.options as Bag).map(([key, value]) => `${key} ${typeof value === 'object' ? JSON.stringify(value) : String(value)}`).join(', ');
  return `Step ${step.op}${options ? ` (${options})` : ''}.`;
}

/** What a reader calls the recording of a job. */
export function recordingName(job: Job): string {
  const { file, files } = job.recording;
  return files ? `${basename(file)} to ${basename(files.at(-1)!)} (${files.length} files)` : basename(file);
}

/** Paragraphs on what was done, written from the trail of the counted channel and the options of damage and life. */
export function methodText(job: Job, signal: PreparedSignal, damage: Damage, life: Life): readonly string[] {
  const trail = signal.filtered.trail.map(sentenceOf);
  if (signal.pulses) trail.push(...signal.speed!.trail.map(sentenceOf));
  if (job.zero.none !== undefined) trail.push(`No zero was taken: ${job.zero.none}.`);
  if (job.filter.none !== undefined) trail.push(`Nothing was filtered: ${job.filter.none}.`);
  const { curve } = damage;
  const residue = { half: 'each range of the residue counts as half a cycle', repeat: 'the residue is closed as if the record were repeated for ever', drop: 'the residue is left out' }[damage.residue];
  return Object.freeze([
    `Recording ${recordingName(job)}, channel ${job.recording.torque}. ${trail.join(' ')}`,
    `Cycles were counted by the four-point rainflow rule on exact turning points, without classes${job.count?.gate ? ` and without ranges below ${job.count.gate} N·m` : ''}; masked spans are bridged; ${residue}.`,
    `Torque was turned into nominal shear stress at the surface of the assessed section and multiplied by the notch factor ${number(job.notch.factor)} (${job.notch.source}). `
    + `The S-N curve is ${curve.name}: ${curve.kind} stress ${curve.measure}, ${number(curve.through.stress / 1e6)} MPa at ${twoFigures(curve.through.cycles)} cycles, slope ${number(curve.slope)}${curve.bend ? `, then ${number(curve.bend.slope)} from ${twoFigures(curve.bend.cycles)} cycles` : ''}`
    + `${curve.knee === null ? ', no knee' : `, knee at ${twoFigures(curve.knee)} cycles, below it ${continuationName(damage.continuation)}`} (${curve.source}). Mean stress: ${meanStressName(damage.meanStress)}.`,
    `Damage was summed after Palmgren and Miner: ${scientific(damage.total)} in ${number(damage.hours, 3)} valid hours. Life is the critical sum ${number(life.criticalSum)} over the damage in an hour, if every hour is like the recorded ones.`,
  ]);
}
