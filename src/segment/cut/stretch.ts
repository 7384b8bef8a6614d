import type { CutRun } from './cutRun.js'
import { FAST_S } from './fitPiece.js'
import type { Part } from './part.js'
import type { RefinedEdge } from './refineEdge.js'

/** A part inside one run. */
export interface Stretch {
  readonly run: CutRun
  readonly runIndex: number
  readonly part: Part
  readonly startS: number
  readonly endS: number
  /** How the part began; null at the start of a run. */
  readonly edge: RefinedEdge | null
}

/** Sample indices of a stretch that show its course: without the soft edge that opened it. */
export function settledFrom(stretch: Stretch): number {
  const { series } = stretch.run
  const fast = stretch.part.pieces[0]!.tauS < FAST_S ? stretch.part.pieces[0]!.tauS : 0
  const softS = Math.max(stretch.edge?.softS ?? 0, fast, stretch.part.softS)
  const openS = stretch.edge ? stretch.edge.startS.value : series.timesS[stretch.part.from]!
  let from = stretch.part.from
  // After five time constants less than 1 % of the step is left.
  const untilS = openS + 5 * softS
  while (from < stretch.part.to - 2 && series.timesS[from]! < untilS) from++
  return from
}
