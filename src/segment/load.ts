import type { Estimate } from '../numeric/statistics/estimate.js'

export type StageLabel = 'burst' | 'short-term' | 'sustained'
export type HoldLabel = 'power-limit' | 'heat' | 'demand' | 'undetermined'

/** What kept the power where it was, with the evidence in words that a reviewer can quote. */
export interface HeldBy {
  readonly label: HoldLabel
  readonly evidence: readonly string[]
}

/** Power that swings between two levels: how it does so by its end. */
export interface StageCycle {
  readonly lowW: number
  readonly highW: number
  /** From one fall to the next, s. */
  readonly periodS: number
  /** Share of the time at the higher level. */
  readonly highShare: number
}

/** A part of a load with one behaviour. Seconds count from the log's first sample. */
export interface Stage {
  readonly label: StageLabel
  readonly shape: 'level' | 'decay' | 'rise'
  readonly startS: number
  readonly endS: number
  /** 90 % interval of the start, seconds; null at the start of a load. */
  readonly startInterval: Estimate | null
  /** Time-mean over the stage, W. */
  readonly levelW: Estimate
  /** Where a decay or a rise began and where it heads; null of a level. */
  readonly decay: { readonly fromW: number; readonly towardW: Estimate; readonly tauS: Estimate } | null
  /** Of a stage in which power swings, what its mean is the mean of; left out of others. */
  readonly cycle?: StageCycle
  readonly heldBy: HeldBy
}

/** One pass of the workload inside a load, found between short pauses. */
export interface Run {
  readonly startS: number
  readonly endS: number
  readonly meanW: number
  readonly energyWh: number
}

/** Where the power settles: measured when `reached`, extrapolated with an honest interval when not. */
export interface Sustained {
  readonly reached: boolean
  readonly levelW: Estimate
  /** When the settled level began, s; null when not reached. */
  readonly fromS: number | null
  /** Time from the load's start until within 2 % of the settled level for good, s. */
  readonly settleAfterS: Estimate | null
  /** Floor and ceiling of the level, W, where the load ends too soon after its last step for more than that; else null. */
  readonly bounds: { readonly floorW: number; readonly ceilingW: number } | null
}

/** A stretch of one kind of work in a trace; the rounds of a loop and the pauses between them are one load. */
export interface Load {
  readonly startS: number
  readonly endS: number
  readonly stages: readonly Stage[]
  readonly sustained: Sustained
  readonly runs: readonly Run[]
  /** Robust sample noise, W, and its lag-1 autocorrelation. */
  readonly noiseW: number
  readonly autocorrelation: number
  /** Seconds of samples set aside as spikes, and how many. */
  readonly spikesAtS: readonly number[]
  /** Whether its samples are the power of an instant each, rather than the mean since the sample before. */
  readonly showsInstants: boolean
  /** Power comes and goes faster than these instants follow: what is told of it is their mean. */
  readonly unresolved?: true
}
