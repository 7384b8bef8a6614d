// The library without disk and page: what runs in a browser as well as in Node.

export { InputError, type InputLocation } from './errors.js'
export { type FittedChassis, fitChassis } from './fit/chassis/fitChassis.js'
export { type ChipFit, type FittedRun, fitChip, type ScoredRun } from './fit/chip/fitChip.js'
export { profileOfLevels, profileRun } from './fit/chip/profileRun.js'
export { withFormulas } from './log/formula/withFormulas.js'
export { parseLog } from './log/parseLog.js'
export type { LogColumns, LogOptions, ParsedLog, Repair, SkippedLine, Trace } from './log/trace.js'
export type { TestedMachine, TestedRun } from './machine/testedMachine.js'
export { tabulateCurve } from './model/tabulateCurve.js'
export {
  type ChangePointOptions,
  type ChangePoints,
  findChangePoints,
} from './numeric/changePoints/findChangePoints.js'
export { type CountedSegments, segmentByCount } from './numeric/changePoints/segmentByCount.js'
export {
  fitLeastSquares,
  type LeastSquaresFit,
  type LeastSquaresProblem,
} from './numeric/leastSquares/fitLeastSquares.js'
// Beside the fit that the tool itself makes: linear fits, profile intervals and cuts into a given number of levels, for a caller's own analysis of a log.
export { type LinearFit, linearLeastSquares } from './numeric/leastSquares/linearLeastSquares.js'
export { profileInterval } from './numeric/leastSquares/profileInterval.js'
export { ESTIMATE_LEVEL, type Estimate } from './numeric/statistics/estimate.js'
export { autocorrelation, mean, standardDeviation } from './numeric/statistics/moments.js'
// What a fitted chassis means: how long a budget holds, the course of a decay, how a thermal network warms, and its ladder of places.
export {
  type BudgetStep,
  holdFromTimeConstant,
  timeConstantFromHold,
  timeToLimit,
} from './physics/chassis/powerBudget.js'
export {
  type Relaxation,
  relaxationAt,
  relaxationMean,
  relaxationSettlesAfter,
} from './physics/chassis/relaxation.js'
export { cauerToFoster, fosterToCauer, type ThermalRung } from './physics/chassis/thermalLadder.js'
export {
  advanceRises,
  sustainablePower,
  type ThermalStage,
  thermalImpedance,
} from './physics/chassis/thermalNetwork.js'
export type { Chip, WeightedCurve, Workload } from './physics/chip/chip.js'
export { type ChipPoint, chipAt } from './physics/chip/chipAt.js'
export { elasticityAt, powerForRate, rateAt, type ScoreCurve } from './physics/chip/scoreCurve.js'
export type { Chassis, HeatBudget, PowerBudget, ThermalModel } from './physics/loop/chassis.js'
export {
  type ChipComparison,
  type ComparedMachine,
  compareChips,
  type EqualPower,
} from './predict/comparison/compareChips.js'
export { explainGap, type Gap, type GapPart } from './predict/gap/explainGap.js'
export { type GapMachine, gapMachine } from './predict/gap/gapMachine.js'
export { type Plan, planNextTest as planTest } from './predict/plan/planNextTest.js'
export type { PlanRequest } from './predict/plan/planRequest.js'
export type { ProjectedRun, Projection, TargetLimits } from './predict/projection/projection.js'
export { type ProjectionRequest, projectScore } from './predict/projection/projectScore.js'
export { findLoads } from './segment/findLoads.js'
export type { HeldBy, HoldLabel, Load, Run, Stage, StageLabel, Sustained } from './segment/load.js'
export { parseReview } from './sheet/parseReview.js'
export { parseSheet } from './sheet/parseSheet.js'
export type { ReviewSheet, SheetTest } from './sheet/reviewSheet.js'
export { sheetJsonSchema } from './sheet/sheetJsonSchema.js'
export type { TestSheet, Trial } from './sheet/testSheet.js'
export { formatQuantity, parseQuantity } from './units.js'
export type { Warning } from './warnings.js'
