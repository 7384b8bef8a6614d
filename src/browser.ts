// The library without disk and page: what runs in a browser as well as in Node.

export type { Chassis, HeatBudget, PowerBudget, ThermalModel } from './curves/chassis.js'
export type { Chip, WeightedCurve, Workload } from './curves/chip.js'
export { type ChipPoint, chipAt } from './curves/chipAt.js'
export { elasticityAt, powerForRate, rateAt, type ScoreCurve } from './curves/scoreCurve.js'
export { InputError, type InputLocation } from './errors.js'
export { type FittedChassis, fitChassis } from './fit/fitChassis.js'
export { type ChipFit, type FittedRun, fitChip, type ScoredRun } from './fit/fitChip.js'
export { profileOfLevels, profileRun } from './fit/profileRun.js'
export { parseLog } from './log/parseLog.js'
export type { LogColumns, LogOptions, Mending, ParsedLog, SkippedLine, Trace } from './log/trace.js'
export { parseSheet } from './machine/parseSheet.js'
export { tabulateCurve } from './machine/tabulateCurve.js'
export type { TestedMachine, TestedRun } from './machine/testedMachine.js'
export type { TestSheet, Trial } from './machine/testSheet.js'
export { ESTIMATE_LEVEL, type Estimate } from './numeric/estimate.js'
export { type ChangePointOptions, type ChangePoints, findChangePoints } from './numeric/findChangePoints.js'
export { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from './numeric/fitLeastSquares.js'
export { profileInterval } from './numeric/profileInterval.js'
export {
  type ChipComparison,
  type ComparedMachine,
  compareChips,
  type EqualPower,
} from './project/compareChips.js'
export { explainGap, type Gap, type GapPart } from './project/explainGap.js'
export { type GapMachine, gapMachine } from './project/gapMachine.js'
export type { PlanRequest } from './project/planRequest.js'
export { type Plan, planTest } from './project/planTest.js'
export type { ProjectedRun, Projection, TargetLimits } from './project/projection.js'
export { type ProjectionRequest, projectScore } from './project/projectScore.js'
export { findLoads } from './segment/findLoads.js'
export type { HeldBy, HoldLabel, Load, Run, Stage, StageLabel, Sustained } from './segment/load.js'
export { formatQuantity, parseQuantity } from './units.js'
export type { Warning } from './warnings.js'
