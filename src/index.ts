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
export { readRecording, readRecordings, describeFile } from './import/readRecording.js';
export { writeRecording } from './import/writeRecording.js';
export type { WriteOptions } from './import/writeRecording.js';
export { streamChannel } from './import/streamChannel.js';
export type { ChannelStream, SampleBlock, StreamOptions } from './import/streamChannel.js';
export type { ReadOptions, Delimiter, TimeUnit, SplitRule } from './import/options.js';
export type { FileDescription, ColumnDescription, TextLayout } from './import/describeFile.js';

// gauge
export { solidSection, hollowSection } from './gauge/section.js';
export type { ShaftSection } from './gauge/section.js';
export { shearModulusOf } from './gauge/Gauge.js';
export type { Gauge, BridgeUnit, StrainUnit, ChainFactor } from './gauge/Gauge.js';
export { bridgeStrain } from './gauge/bridgeStrain.js';
export { torqueFromStrain, shearStressFromStrain } from './gauge/torqueFromStrain.js';
export type { TorqueFromStrainOptions } from './gauge/torqueFromStrain.js';
export { toTorque } from './gauge/toTorque.js';
export type { ToTorqueOptions, TorqueCalibration } from './gauge/toTorque.js';
export { fullScaleTorque } from './gauge/fullScaleTorque.js';
export type { FullScale, FullScaleOptions } from './gauge/fullScaleTorque.js';
export { shuntStrain, shuntResistance } from './gauge/shuntStrain.js';
export type { Shunt, ShuntOptions } from './gauge/shuntStrain.js';
export { fitCalibration } from './gauge/fitCalibration.js';
export type { Calibration, CalibrationLine, CalibrationPoint } from './gauge/fitCalibration.js';
export { uncertaintyBudget } from './gauge/uncertaintyBudget.js';
export type { UncertaintyBudget, BudgetOptions, BudgetLine, InputCorrelation } from './gauge/uncertaintyBudget.js';
export type { Uncertainty, UncertainInput } from './gauge/Uncertain.js';
export type { MonteCarlo } from './gauge/monteCarlo.js';
export { torqueBudget } from './gauge/torqueBudget.js';
export type { TorqueBudgetOptions, TorqueInput } from './gauge/torqueBudget.js';

// clean
export { findFaults } from './clean/findFaults.js';
export type { FaultOptions } from './clean/findFaults.js';
export type { RailRule } from './clean/findRails.js';
export type { SpikeRule } from './clean/findSpikes.js';
export type { WrapRule } from './clean/findWraps.js';
export type { FaultReport, FaultCount, FaultEdit } from './clean/FaultReport.js';
export { markInvalid, markValid } from './clean/markInvalid.js';
export { findRestStates } from './clean/findRestStates.js';
export type { RestStates, RestOptions } from './clean/findRestStates.js';
export { fitZero } from './clean/fitZero.js';
export type { ZeroOptions } from './clean/fitZero.js';
export type { ZeroState, Companions } from './clean/zeroStates.js';
export { zeroAt } from './clean/ZeroModel.js';
export type { ZeroModel, ZeroTerm, ZeroStateFit, ZeroInstant } from './clean/ZeroModel.js';
export { removeZero } from './clean/removeZero.js';
export { lossMap } from './clean/lossMap.js';
export type { LossMap, LossClasses, LossOptions } from './clean/lossMap.js';
export type { AngleSource } from './clean/shaftAngle.js';
export { worstCase } from './clean/worstCase.js';
export type { WorstCaseOptions } from './clean/worstCase.js';
export { removeSpikes } from './clean/removeSpikes.js';
export { removeDrift } from './clean/removeDrift.js';
export type { DriftOptions } from './clean/removeDrift.js';

// filter
export { designLowpass, designHighpass, designBandpass, designBandstop } from './filter/design.js';
export type { FilterDesign, FilterFamily, ShapeOptions, EdgeDesignOptions, BandDesignOptions } from './filter/design.js';
export { responseOf } from './filter/responseOf.js';
export type { FrequencyResponse, ResponseOptions } from './filter/responseOf.js';
export { lowpass, highpass, bandpass, bandstop } from './filter/lowpass.js';
export type { FilterOptions, EdgeFilterOptions, BandFilterOptions } from './filter/lowpass.js';
export { designNotch, notch } from './filter/notch.js';
export type { NotchShape, NotchOptions } from './filter/notch.js';
export { movingMedian } from './filter/movingMedian.js';
export type { MovingMedianOptions } from './filter/movingMedian.js';
export { decimate } from './filter/decimate.js';
export type { DecimateOptions } from './filter/decimate.js';
export { resample, upsamplePeaks } from './filter/resample.js';
export type { ResampleOptions, UpsamplePeaksOptions } from './filter/resample.js';
export type { RunOptions } from './filter/runFilter.js';
export type { Sections } from './numeric/sections.js';

// spectrum
export { powerDensity, bandRms } from './spectrum/powerDensity.js';
export type { PowerDensity, PowerDensityOptions, SpectrumSettings, Band } from './spectrum/powerDensity.js';
export { lineSpectrum } from './spectrum/lineSpectrum.js';
export type { LineSpectrum, LineSpectrumOptions, AmplitudeKind } from './spectrum/lineSpectrum.js';
export { noiseFloor } from './spectrum/noiseFloor.js';
export type { NoiseFloor } from './spectrum/noiseFloor.js';
export { findLines } from './spectrum/findLines.js';
export type { SpectralLine, FindLinesOptions } from './spectrum/findLines.js';
export { windowFigures } from './spectrum/windowFigures.js';
export type { WindowFigures } from './spectrum/windowFigures.js';
export { crossSpectrum } from './spectrum/crossSpectrum.js';
export type { CrossSpectrum, CrossSpectrumOptions, ResponseEstimate } from './spectrum/crossSpectrum.js';
export { envelope, envelopeSpectrum } from './spectrum/envelope.js';
export type { EnvelopeSpectrumOptions } from './spectrum/envelope.js';
export { zoomSpectrum } from './spectrum/zoomSpectrum.js';
export type { ZoomSpectrum, ZoomOptions } from './spectrum/zoomSpectrum.js';
export { gapSpectrum } from './spectrum/gapSpectrum.js';
export type { GapSpectrum, GapSpectrumOptions } from './spectrum/gapSpectrum.js';
export { spectrogram } from './spectrum/spectrogram.js';
export type { Spectrogram } from './spectrum/spectrogram.js';
export { findPulses } from './spectrum/findPulses.js';
export type { PulseTrain, PulseRun, PulseOptions } from './spectrum/findPulses.js';
export { learnTarget } from './spectrum/learnTarget.js';
export type { TargetPattern } from './spectrum/learnTarget.js';
export { speedFromPulses } from './spectrum/speedFromPulses.js';
export type { SpeedFromPulsesOptions } from './spectrum/speedFromPulses.js';
export { toShaftAngle } from './spectrum/toShaftAngle.js';
export type { AngleRecord, AnglePiece, ShaftAngleOptions } from './spectrum/toShaftAngle.js';
export type { ShaftAngleSource } from './spectrum/shaftAngle.js';
export { orderSpectrum } from './spectrum/orderSpectrum.js';
export type { OrderSpectrum, OrderSpectrumOptions, RevolutionOptions } from './spectrum/orderSpectrum.js';
export { orderTracks } from './spectrum/orderTracks.js';
export type { OrderTracks, OrderTrack, OrderTracksOptions } from './spectrum/orderTracks.js';
export type { SegmentOptions } from './spectrum/segmentation.js';
export type { Averaging, Confidence } from './spectrum/averages.js';
export type { Detrend } from './numeric/segments.js';
export type { WindowChoice } from './numeric/window.js';

export { torsionalModes } from './spectrum/torsionalModes.js';
export type { TorsionalMode, TorsionalModes } from './spectrum/torsionalModes.js';
export type { Train, TrainInertia, TrainShaft, TrainGear } from './spectrum/Train.js';
export { forcedResponse } from './spectrum/forcedResponse.js';
export type { ForcedResponse, ForcedResponseOptions } from './spectrum/forcedResponse.js';
export { fitStiffness } from './spectrum/fitStiffness.js';
export type { StiffnessFit, FitStiffnessOptions } from './spectrum/fitStiffness.js';
export { fitRingDown } from './spectrum/fitRingDown.js';
export type { RingDown, RingDownMode, RingDownOptions, Estimate } from './spectrum/fitRingDown.js';
export { fitSweep } from './spectrum/fitSweep.js';
export type { SweepFit, SweepOptions } from './spectrum/fitSweep.js';
export { halfPowerDamping } from './spectrum/halfPowerDamping.js';
export type { HalfPowerDamping, HalfPowerOptions, ResonanceCurve } from './spectrum/halfPowerDamping.js';
export { driveOrders, universalJointRatio } from './spectrum/driveOrders.js';
export type { DriveOrder, DriveParts } from './spectrum/driveOrders.js';

// count
export { isCycleCount, isCycles } from './count/CycleCount.js';
export { countCycles } from './count/countCycles.js';
export type { CountOptions } from './count/countCycles.js';
export { CycleCounter } from './count/CycleCounter.js';
export type { CounterOptions, KeepOptions } from './count/CycleCounter.js';
export { turningPoints } from './count/turningPoints.js';
export type { TurningPoints } from './count/turningPoints.js';
export { mergeCounts } from './count/mergeCounts.js';
export { closeResidue } from './count/closeResidue.js';
export { gateCycles, hysteresisFilter } from './count/gateCycles.js';
export type { GatedPoints } from './count/gateCycles.js';
export { scaleCount } from './count/scaleCount.js';
export { largestCycles } from './count/largestCycles.js';
export type { StampedCycle } from './count/largestCycles.js';
export { exceedance } from './count/exceedance.js';
export type { Exceedance } from './count/exceedance.js';
export { cycleMatrix, fromToMatrix } from './count/matrices.js';
export type { CountMatrix } from './count/matrices.js';
export type { ClassEdges } from './count/classes.js';
export { simpleRanges, rangePairs } from './count/otherRanges.js';
export { levelCrossings, peakCounts, timeAtLevel } from './count/levels.js';
export type { LevelCrossings, LevelOptions, PeakCounts, TimeAtLevel } from './count/levels.js';
export { countEvents } from './count/countEvents.js';
export type { EventCounts, EventRules, StateEvent, StateRule } from './count/countEvents.js';
export { suggestGate } from './count/suggestGate.js';
export type { GateSuggestion } from './count/suggestGate.js';
export { fileSumLoss } from './count/fileSumLoss.js';
export type { FileSumLoss } from './count/fileSumLoss.js';
export { poolCounts } from './count/poolCounts.js';
export type { PooledCount, PooledShaft } from './count/poolCounts.js';
export { writeCount, readCount, countFormat, countFormatVersion } from './count/countFormat.js';
export { samplingAdequacy } from './count/samplingAdequacy.js';
export type { SamplingAdequacy } from './count/samplingAdequacy.js';
export type { CycleCount, Cycles, ClosedCycles, CountSource, FromToHistogram, LargestCycle, Residue, ResiduePolicy } from './count/CycleCount.js';

// fatigue
export { shearRange, shearAmplitude, directRange, directAmplitude } from './fatigue/stress.js';
export type { Stress, Measure, StressKind, StressBasis } from './fatigue/stress.js';
export { lifeCurve, cyclesToFailure, stressAtLife } from './fatigue/LifeCurve.js';
export type { LifeCurve, LifeCurveData, Continuation } from './fatigue/LifeCurve.js';
export { curveLibrary } from './fatigue/curveLibrary.js';
export type { SyntheticOptions, PointsOptions } from './fatigue/curveLibrary.js';
export { shearStress } from './fatigue/shearStress.js';
export { stressCycles, localStress, cyclesFromTable } from './fatigue/StressCycles.js';
export type { StressCycles, StressStep, CycleTable } from './fatigue/StressCycles.js';
export { notchFactor } from './fatigue/notchFactor.js';
export type { NotchFactor, NotchBasis } from './fatigue/notchFactor.js';
export { meanStressFactor, walkerExponentOfSteel } from './fatigue/meanStress.js';
export type { MeanStress, ShearEquivalence } from './fatigue/meanStress.js';
export { damage, damageContinuations } from './fatigue/damage.js';
export type { Damage, DamageOptions, Contributor } from './fatigue/damage.js';
export { life } from './fatigue/life.js';
export type { Life, LifeOptions } from './fatigue/life.js';
export { equivalentRange } from './fatigue/equivalentRange.js';
export type { EquivalentRange } from './fatigue/equivalentRange.js';
export { staticMargin } from './fatigue/staticMargin.js';
export type { StaticMargin } from './fatigue/staticMargin.js';
export { shoulderKts, grooveKts, holeKts, keywayKts } from './fatigue/stressConcentration.js';
export type { StressConcentration, ShoulderOptions, GrooveOptions, HoleOptions, KeywayOptions, Loading } from './fatigue/stressConcentration.js';
export { notchSensitivity, fatigueNotchFactor } from './fatigue/notchSensitivity.js';
export type { SensitivityMethod, SensitivityOptions, FatigueNotchOptions } from './fatigue/notchSensitivity.js';
export { enduranceLimit } from './fatigue/enduranceLimit.js';
export type { EnduranceLimit, EnduranceOptions, SurfaceFinish } from './fatigue/enduranceLimit.js';
export { equivalentStress, goughPollard, combineCycles } from './fatigue/combinedStress.js';
export type { BesideTorque } from './fatigue/combinedStress.js';
export { fatigueSafety } from './fatigue/fatigueSafety.js';
export type { FatigueSafety, FatigueSafetyOptions, FatigueCriterion } from './fatigue/fatigueSafety.js';
export { fitLifeCurve } from './fatigue/fitLifeCurve.js';
export type { LifeFit, FitOptions, FatigueTest } from './fatigue/fitLifeCurve.js';
export { shiftSurvival } from './fatigue/shiftSurvival.js';
export { lifeBand, survivalAt } from './fatigue/lifeBand.js';
export type { LifeBand, LifeBandOptions, LifeState, Survival } from './fatigue/lifeBand.js';
export type { LifeInputs, LifeInput, Spread } from './fatigue/lifeInputs.js';
export { tornado } from './fatigue/tornado.js';
export type { Tornado, TornadoBar, Alternative } from './fatigue/tornado.js';
export { vibrationLimits, vibrationUtilisation, barredSpeedRange, leastShaftDiameter, shaftFeatures } from './fatigue/vibrationLimits.js';
export type { VibrationLimits, VibrationLimitOptions, VibrationUtilisation, ShaftFeature, BarredRange } from './fatigue/vibrationLimits.js';

// plot
export type { Figure, Spec } from './plot/Figure.js';
export { plotHistory } from './plot/plotHistory.js';
export type { HistoryOptions } from './plot/plotHistory.js';
export { plotZero } from './plot/plotZero.js';
export type { ZeroFigureOptions } from './plot/plotZero.js';
export { plotSpectrum } from './plot/plotSpectrum.js';
export type { SpectrumShape, SpectrumOptions } from './plot/plotSpectrum.js';
export { plotExceedance } from './plot/plotExceedance.js';
export type { ExceedanceOptions } from './plot/plotExceedance.js';
export { plotMatrix } from './plot/plotMatrix.js';
export type { MatrixOptions } from './plot/plotMatrix.js';
export { plotLifeCurve } from './plot/plotLifeCurve.js';
export type { LifeCurveOptions } from './plot/plotLifeCurve.js';
export { plotDamage } from './plot/plotDamage.js';
export type { DamageFigureOptions } from './plot/plotDamage.js';
export { plotLifeBand } from './plot/plotLifeBand.js';
export type { LifeBandFigureOptions } from './plot/plotLifeBand.js';
export { plotTornado } from './plot/plotTornado.js';
export type { TornadoOptions } from './plot/plotTornado.js';
export { plotBudget } from './plot/plotBudget.js';
export type { BudgetFigureOptions } from './plot/plotBudget.js';
export { plotRingDown } from './plot/plotRingDown.js';
export type { RingDownFigureOptions } from './plot/plotRingDown.js';
export { toSvg, toPng } from './plot/draw.js';
export type { PngOptions } from './plot/draw.js';
export { toPdf } from './plot/toPdf.js';
export { saveFigure } from './plot/saveFigure.js';

// report
export { readJob, checkJob } from './report/readJob.js';
export { jobSchema } from './report/jobSchema.js';
export type { Job, JobCurve, JobDiameters } from './report/Job.js';
export { assess } from './report/assess.js';
export type { Assessment, AssessOptions } from './report/assess.js';
export type { PreparedSignal } from './report/prepare.js';
export type { DamageChain, Price } from './report/prices.js';
export type { Driver } from './report/drivers.js';
export { writeReport } from './report/writeReport.js';

// tables
export { toTable, tablesOf } from './tables/toTable.js';
export type { TableOptions } from './tables/toTable.js';
export { fromTable } from './tables/fromTable.js';
export type { FromTableOptions, TableLike } from './tables/fromTable.js';
export { toDataFrame, fromDataFrame } from './tables/toDataFrame.js';
export type { DataFrameLibrary, DataFrameLike } from './tables/toDataFrame.js';
export { summaryTable } from './tables/summaryTable.js';

// kernel
export { show } from './kernel/show.js';
