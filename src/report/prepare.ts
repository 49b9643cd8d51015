import { basename } from 'node:path';
import { InputError } from '../record/errors.js';
import { validRuns, type Channel } from '../record/Channel.js';
import { assignUnit, convert } from '../record/convert.js';
import { pick, type Recording } from '../record/Recording.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { quantityOf, type Unit } from '../record/units.js';
import { findFaults } from '../clean/findFaults.js';
import type { FaultReport } from '../clean/FaultReport.js';
import type { ClockSource } from '../clean/fitClock.js';
import { findRestStates } from '../clean/findRestStates.js';
import { fitZero } from '../clean/fitZero.js';
import { markInvalid } from '../clean/markInvalid.js';
import { removeZero } from '../clean/removeZero.js';
import { repairClock } from '../clean/repairClock.js';
import type { ZeroModel } from '../clean/ZeroModel.js';
import { lowpass } from '../filter/lowpass.js';
import { bridgeUnits, strainUnits, type Gauge } from '../gauge/Gauge.js';
import type { PulseTrain } from '../spectrum/findPulses.js';
import { hollowSection, solidSection, type ShaftSection } from '../gauge/section.js';
import { toTorque, type TorqueCalibration } from '../gauge/toTorque.js';
import type { Job, JobDiameters } from './Job.js';
import { inJob } from './inJob.js';
import { speedByPulses } from './pulses.js';

/** The signal at each stage of the chain. */
export interface PreparedSignal {
  /** As recorded, in the unit that the job states. */
  readonly raw: Channel;
  /** With every mask, and with every row at its true time where the job names a frame counter. */
  readonly masked: Channel;
  readonly faults: FaultReport | null;
  /** N·m, zero still in. */
  readonly torque: Channel<'N·m'>;
  readonly zeroModel: ZeroModel | null;
  readonly rest: readonly TimeWindow[];
  /** N·m, zero removed. */
  readonly zeroed: Channel<'N·m'>;
  /** N·m, as counted. */
  readonly filtered: Channel<'N·m'>;
  readonly speed: Channel<'rpm'> | null;
  /** The pulses that the speed was taken from; null where the record holds a speed, or none is known. */
  readonly pulses: PulseTrain | null;
}

/** A section from a job's diameters. */
export function sectionOf({ outerDiameter, innerDiameter }: JobDiameters, key: 'shaft' | 'assessed' = 'shaft'): ShaftSection {
  return inJob((at) => `${key}.${at === 'diameter' ? 'outerDiameter' : at}`, () => (innerDiameter ? hollowSection(outerDiameter, innerDiameter) : solidSection(outerDiameter)));
}

/** The section whose life is asked for: that of the gauges where the job names no other. */
export function assessedSection(job: Job): ShaftSection {
  return job.assessed ? sectionOf(job.assessed, 'assessed') : sectionOf(job.shaft);
}

/** Takes the recorded signal to the torque that is counted, as the job says. */
export function prepareSignal(job: Job, recording: Recording, pulses: PulseTrain | null = null): PreparedSignal {
  const raw = channelOf(recording, 'torque', job.recording.torque, job.recording.torqueUnit);
  const frames = framesOf(job, recording);
  const onClock = <U extends Unit>(channel: Channel<U>): Channel<U> => (frames ? repairClock(channel, frames) : channel);
  const temperature = job.recording.temperature === undefined ? null : onClock(temperatureOf(recording, job));
  const faults = job.faults?.find === false ? null : findFaults(raw, job.faults?.highestMode === undefined ? {} : { spike: { highestMode: job.faults.highestMode } });
  let masked = onClock(faults && faults.spans.length > 0 ? markInvalid(raw, faults) : raw);
  for (const [i, mask] of (job.faults?.mask ?? []).entries()) {
    masked = markInvalid(masked, [{ ...windowToSamples('job', masked, mask, `faults.mask[${i}]`), why: 'by hand' }]);
  }
  const speed = job.recording.speed !== undefined ? onClock(speedOf(recording, job)) : pulses ? speedByPulses(job.recording.pulses!, pulses, masked) : null;
  const torque = torqueOf(job, masked);
  const rest = restOf(job, speed);
  const { model } = job.zero;
  const companions = Array.isArray(model) ? { ...(temperature ? { temperature } : {}), ...(speed ? { speed } : {}) } : {};
  const zeroModel = model === undefined ? null : inJob((at) => (at.startsWith('rest') && job.zero.rest !== 'from speed' ? `zero.${at}` : 'zero'), () => fitZero(torque, { rest, model, ...companions }));
  const zeroed = zeroModel ? removeZero(torque, zeroModel, companions) : torque;
  checkStress(job, zeroed);
  return { raw, masked, faults, torque, zeroModel, rest, zeroed, filtered: filteredBy(job, zeroed), speed, pulses };
}

/** The torque of the record as it was received, no fault masked and rows edge to edge, by the zero of the corrected one. */
export function asReceived(job: Job, recording: Recording, { raw, zeroModel, speed }: PreparedSignal): Channel<'N·m'> {
  const torque = torqueOf(job, raw);
  if (!zeroModel) return filteredBy(job, torque);
  const companions = {
    ...(zeroModel.terms.includes('temperature') ? { temperature: temperatureOf(recording, job) } : {}),
    ...(zeroModel.terms.includes('speed squared') ? { speed: job.recording.speed === undefined ? speed! : speedOf(recording, job) } : {}),
  };
  return filteredBy(job, removeZero(torque, zeroModel, companions));
}

/** The valid sample of largest size. */
export function largestSample(channel: Channel): number {
  let best = 0, k = 0;
  const { values, invalid } = channel;
  for (let i = 0; i < values.length; i++) {
    while (k < invalid.length && invalid[k]!.to <= i) k++;
    if (k < invalid.length && invalid[k]!.from <= i) continue;
    if (Math.abs(values[i]!) > Math.abs(best)) best = values[i]!;
  }
  return best;
}

/** No shaft material carries a stress of the size of its own modulus; above this a unit or a figure of the job is wrong. */
const impossibleStress = 1e11;

function checkStress(job: Job, torque: Channel<'N·m'>): void {
  if (validRuns(torque).length === 0) throw new InputError({ where: 'job', argument: `recording.torque (${job.recording.torque})`, expected: 'a channel with valid samples', given: 'one that is masked throughout', remedy: 'Look at the masks in faults, and at what the file holds.' });
  const peak = Math.abs(largestSample(torque));
  const stress = peak / assessedSection(job).polarModulus;
  if (stress * job.notch.factor < impossibleStress) return;
  throw new InputError({
    where: 'job', argument: `recording.torque (${job.recording.torque})`, expected: 'a torque that a shaft can carry', given: `${peak.toPrecision(3)} N·m, a local shear stress ${Number.isFinite(stress) ? `of ${((stress * job.notch.factor) / 1e6).toPrecision(3)} MPa` : 'beyond every number'}`,
    remedy: 'Look at its unit, at gauge or calibration, at the diameters and at notch.factor.',
  });
}

/** The low-pass of the job, or the channel as it is where the job filters nothing. */
export function filteredBy(job: Job, channel: Channel<'N·m'>, cutoff: number | undefined = job.filter.cutoff): Channel<'N·m'> {
  if (cutoff === undefined) return channel;
  const { order, cutoffAt } = job.filter;
  return inJob((at) => `filter.${at}`, () => lowpass(channel, { cutoff, ...(order === undefined ? {} : { order }), ...(cutoffAt === undefined ? {} : { cutoffAt }), shortRuns: 'mask', gaps: 'bridge' }));
}

function channelOf(recording: Recording, key: string, name: string, unit?: Unit): Channel {
  const channel = inJob(`recording.${key}`, () => pick(recording, name));
  return unit === undefined || channel.unit === unit ? channel : assignUnit(channel, unit);
}

function speedOf(recording: Recording, job: Job): Channel<'rpm'> {
  const speed = channelOf(recording, 'speed', job.recording.speed!, job.recording.speedUnit);
  if (quantityOf(speed.unit) !== 'angular speed') {
    throw new InputError({ where: 'job', argument: 'recording.speed', expected: 'a channel of speed (rpm, rad/s, deg/s)', given: `${speed.name} in ${speed.unit}`, remedy: speed.unit === '?' ? 'State its unit with recording.speedUnit.' : 'Name another channel, or state its true unit with recording.speedUnit.' });
  }
  return speed.unit === 'rpm' ? (speed as Channel<'rpm'>) : convert(speed, 'rpm');
}

function temperatureOf(recording: Recording, job: Job): Channel<'°C' | 'K' | '°F'> {
  const temperature = channelOf(recording, 'temperature', job.recording.temperature!, job.recording.temperatureUnit);
  if (quantityOf(temperature.unit) !== 'temperature') {
    throw new InputError({ where: 'job', argument: 'recording.temperature', expected: 'a channel of temperature (°C, K, °F)', given: `${temperature.name} in ${temperature.unit}`, remedy: temperature.unit === '?' ? 'State its unit with recording.temperatureUnit.' : 'Name another channel, or state its true unit with recording.temperatureUnit.' });
  }
  return temperature as Channel<'°C' | 'K' | '°F'>;
}

/** The frame counter by which rows go to their true time; null where the job names none. */
function framesOf(job: Job, recording: Recording): ClockSource | null {
  const { frames } = job.recording;
  if (!frames) return null;
  const counter = inJob('recording.frames.counter', () => pick(recording, frames.counter));
  if (counter.unit !== 'count' && counter.unit !== '?') {
    throw new InputError({ where: 'job', argument: 'recording.frames.counter', expected: 'a channel of frame numbers (count)', given: `${counter.name} in ${counter.unit}` });
  }
  return { counter: counter.unit === 'count' ? (counter as Channel<'count'>) : assignUnit(counter, 'count'), modulus: frames.modulus };
}

/** Units that gauge or calibration turn into torque. */
const measurable: readonly Unit[] = [...bridgeUnits, ...strainUnits];

function torqueOf(job: Job, channel: Channel): Channel<'N·m'> {
  if (quantityOf(channel.unit) === 'torque') {
    if (job.gauge || job.calibration) {
      throw new InputError({ where: 'job', argument: job.gauge ? 'gauge' : 'calibration', expected: `left out: ${channel.name} is torque already (${channel.unit})`, given: 'given' });
    }
    return channel.unit === 'N·m' ? (channel as Channel<'N·m'>) : convert(channel, 'N·m');
  }
  if (channel.unit === '?') {
    throw new InputError({ where: 'job', argument: 'recording.torqueUnit', expected: `the unit of ${channel.name}, which ${basename(job.recording.file)} does not state`, given: 'nothing' });
  }
  if (!measurable.includes(channel.unit)) {
    throw new InputError({ where: 'job', argument: 'recording.torque', expected: `a channel of torque, or of a bridge (${measurable.join(', ')})`, given: `${channel.name} in ${channel.unit}`, remedy: 'Name another channel, or state its true unit with recording.torqueUnit.' });
  }
  if (job.calibration) return toTorque(channel as Channel<'V'>, { calibration: job.calibration as TorqueCalibration });
  if (!job.gauge) {
    throw new InputError({ where: 'job', argument: 'gauge', expected: `given (or calibration), because ${channel.name} is in ${channel.unit}`, given: 'nothing' });
  }
  return toTorque(channel as Channel<'V'>, { gauge: { ...job.gauge, ...elasticOf(job) } as Gauge, section: sectionOf(job.shaft) });
}

/** The elastic constants of the shaft, as the job states them. */
export function elasticOf(job: Job): Pick<Gauge, 'shearModulus' | 'youngsModulus' | 'poissonsRatio'> {
  const { shearModulus, youngsModulus, poissonsRatio } = job.shaft;
  return shearModulus === undefined ? { ...(youngsModulus === undefined ? {} : { youngsModulus }), ...(poissonsRatio === undefined ? {} : { poissonsRatio }) } : { shearModulus };
}

function restOf(job: Job, speed: Channel<'rpm'> | null): readonly TimeWindow[] {
  const { zero } = job;
  if (zero.none !== undefined) return [];
  if (zero.rest !== 'from speed') return zero.rest!;
  const found = findRestStates({ speed: speed!, below: zero.below!, minimum: 1, guard: zero.settle! });
  if (found.windows.length === 0) {
    throw new InputError({ where: 'job', argument: 'zero.rest', expected: 'a time of rest in the speed channel', given: `none of at least 1 s below ${((zero.below! * 30) / Math.PI).toPrecision(3)} rpm`, remedy: 'State the rest windows, or say why no zero is taken with zero.none.' });
  }
  return found.windows;
}
