import type { ReadOptions } from '../import/options.js';
import type { Unit } from '../record/units.js';
import type { TimeWindow } from '../record/slice.js';
import type { ZeroTerm } from '../clean/ZeroModel.js';
import type { Continuation } from '../fatigue/LifeCurve.js';
import type { DriveParts } from '../spectrum/driveOrders.js';
import type { StateName } from '../spectrum/segmentStates.js';
import type { Train } from '../spectrum/Train.js';
import type { TorqueBudgetOptions } from '../gauge/torqueBudget.js';
import type { LifeInputs, Spread } from '../fatigue/lifeInputs.js';
import type { ResiduePolicy } from '../count/CycleCount.js';

/** Diameters in m. */
export interface JobDiameters {
  readonly outerDiameter: number;
  readonly innerDiameter?: number;
}

/** An S-N curve as a job states it; Pa and cycles. */
export interface JobCurve {
  readonly use: 'EN 1993-1-9 shear' | 'IIW shear' | 'synthetic shear' | 'own';
  readonly category?: number;
  readonly materialFactor?: number;
  readonly enduranceLimit?: number;
  readonly name?: string;
  readonly measure?: 'range' | 'amplitude';
  readonly stress?: number;
  readonly cycles?: number;
  readonly slope?: number;
  readonly bend?: { readonly cycles: number; readonly slope: number };
  readonly knee?: number;
  readonly beyond?: Continuation;
  readonly ratio?: number;
  readonly survival?: number;
  readonly deviation?: number;
  readonly tested?: { readonly from: number; readonly to: number };
  readonly notch?: 'in the curve' | 'in the stress';
  readonly source?: string;
}

/** A notch factor as a job states it. */
export interface JobNotch {
  readonly factor: number;
  readonly source: string;
  readonly basis?: 'fatigue' | 'theoretical' | 'on top of the curve';
}

/** Another curve to price, with the notch factor that its stress carries where that is not the one of the job. */
export interface OtherCurve extends JobCurve {
  readonly notchFactor?: JobNotch;
}

/** Time stamps of the pulses of a target on the shaft, in a second file. */
export interface JobPulses {
  readonly file: string;
  readonly column: string;
  readonly unit?: Unit;
  readonly perRevolution: number;
  readonly target: 'even' | TimeWindow;
  readonly silence: 'at rest' | 'not known';
  /** s. */
  readonly offset?: number;
}

/** A run through a resonance; s and Hz. */
export interface JobSweep extends TimeWindow {
  readonly order: number;
  readonly excitation: 'constant' | 'speed squared';
  readonly band: { readonly from: number; readonly to: number };
}

/** A checked job: what a job file says, with every quantity in SI and the file's path made absolute. */
export interface Job {
  /** Of the job's file, for messages. */
  readonly name?: string;
  readonly title: string;
  readonly recording: {
    /** The file, or the first one of several. */
    readonly file: string;
    /** Several files of one shaft, in time order. */
    readonly files?: readonly string[];
    readonly torque: string;
    readonly torqueUnit?: Unit;
    readonly speed?: string;
    readonly speedUnit?: Unit;
    readonly pulses?: JobPulses;
    readonly temperature?: string;
    readonly temperatureUnit?: Unit;
    readonly frames?: { readonly counter: string; readonly modulus: number };
    readonly sampleRate?: number;
    readonly read?: ReadOptions;
  };
  readonly shaft: JobDiameters & {
    readonly shearModulus?: number;
    readonly youngsModulus?: number;
    readonly poissonsRatio?: number;
    readonly yieldStrength: number;
    readonly tensileStrength?: number;
  };
  readonly gauge?: {
    readonly gaugeFactor: number;
    readonly activeArms: 1 | 2 | 4;
    readonly gain?: number;
    readonly excitation?: number;
    readonly countsPerVolt?: number;
    readonly polarity?: 1 | -1;
  };
  readonly calibration?: { readonly slope: number; readonly unit: Unit; readonly intercept?: number };
  /** Hz and s. */
  readonly faults?: { readonly find?: boolean; readonly highestMode?: number; readonly alike?: number; readonly mask?: readonly (TimeWindow & { readonly because: string })[] };
  readonly zero: {
    readonly rest?: readonly TimeWindow[] | 'from speed';
    /** rad/s. */
    readonly below?: number;
    /** s. */
    readonly settle?: number;
    readonly model?: 'constant' | 'linear in time' | readonly ZeroTerm[];
    readonly none?: string;
  };
  readonly filter: { readonly cutoff?: number; readonly order?: number; readonly cutoffAt?: 'each pass' | '-3dB'; readonly none?: string };
  readonly count?: { readonly residue?: ResiduePolicy; readonly gate?: number };
  readonly assessed?: JobDiameters;
  readonly notch: JobNotch;
  readonly curve: JobCurve;
  readonly otherCurves?: readonly OtherCurve[];
  readonly meanStress: {
    readonly rule: 'none' | 'goodman' | 'gerber' | 'soderberg' | 'asme-elliptic' | 'morrow' | 'smith-watson-topper' | 'walker';
    readonly equivalence?: 'von Mises' | 'maximum shear';
    readonly exponent?: number;
    readonly fatigueStrength?: number;
  };
  readonly budget?: TorqueBudgetOptions['uncertainty'];
  /** rad/s, rad/s², N·m, s and Hz. */
  readonly states?: { readonly standstill: number; readonly speedChange: number; readonly torqueChange: number; readonly block: number; readonly ringDown?: { readonly from: number; readonly to: number } };
  readonly sweeps?: readonly JobSweep[];
  /** s. */
  readonly power?: { readonly latency?: number };
  readonly drive?: { readonly shafts: Readonly<Record<string, DriveParts>>; readonly lineFrequency?: number };
  readonly train?: Train;
  /** The zero's own uncertainty is taken from its fit; with duty 'settled' that of the damage rate from its convergence. */
  readonly uncertainty?: Omit<LifeInputs, 'zero' | 'duty'> & { readonly duty?: 'settled' | { readonly spread: Spread }; readonly draws?: number; readonly seed?: number };
  readonly duty?: { readonly hoursPerYear: Readonly<Partial<Record<StateName, number>>>; readonly startsPerYear?: number; readonly certainty?: number };
  readonly life?: { readonly criticalSum?: number; readonly hoursPerYear?: number };
}
