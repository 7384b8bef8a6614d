import type { CutRun } from '../../src/segment/cut/cutRun.js'
import type { Piece } from '../../src/segment/cut/fitPiece.js'
import { endPower, type Part, piecePower } from '../../src/segment/cut/part.js'
import type { Stretch } from '../../src/segment/cut/stretch.js'
import type { DraftStage } from '../../src/segment/stages/draftStage.js'

/** So many samples that follow level + amplitude exp(-t / tau), t since their first; flat without an amplitude. */
export interface Course {
  readonly samples: number
  readonly levelW: number
  readonly amplitudeW?: number
  readonly tauS?: number
}

export interface RunOptions {
  /** Parts, each of one or more courses. */
  readonly parts: readonly (readonly Course[])[]
  /** Time of the first sample, s. */
  readonly startS?: number
  readonly everyS?: number
  readonly runIndex?: number
  readonly closes?: boolean
  /** Softness of each part's opening, s; 0 when left out. */
  readonly softS?: readonly number[]
}

/** A run cut into parts as the cut would leave it, without noise: what the functions behind the cut are tested with. */
export function makeRun({ parts, startS = 0, everyS = 1, closes = false, softS = [] }: RunOptions): CutRun {
  const count = parts.flat().reduce((sum, { samples }) => sum + samples, 0)
  const timesS = Float64Array.from({ length: count }, (_, i) => startS + i * everyS)
  let at = 0
  const cut = parts.map((courses, k): Part => {
    const pieces = courses.map(
      ({ samples, levelW, amplitudeW = 0, tauS = Number.POSITIVE_INFINITY }): Piece => {
        at += samples
        return { from: at - samples, to: at, levelW, amplitudeW, tauS, cost: 0 }
      },
    )
    return { from: pieces[0]!.from, to: at, pieces, softS: softS[k] ?? 0 }
  })
  const powerW = new Float64Array(count)
  const series = { timesS, powerW, weights: new Uint8Array(count).fill(1), averaged: true, closes }
  const pieces = cut.flatMap((part) => part.pieces)
  for (const piece of pieces)
    for (let i = piece.from; i < piece.to; i++) powerW[i] = piecePower(piece, series, timesS[i]!)
  return { series, pieces, parts: cut }
}

/** The parts of a run as stretches, each beginning at its first sample, after an edge where another one lies before it. */
export function stretchesOf(options: RunOptions): readonly Stretch[] {
  const run = makeRun(options)
  const { timesS } = run.series
  return run.parts.map((part, k): Stretch => {
    const startS = timesS[part.from]!
    const before = run.parts[k - 1]
    return {
      run,
      runIndex: options.runIndex ?? 0,
      part,
      startS,
      endS: timesS[part.to] ?? timesS[part.to - 1]!,
      edge: before
        ? {
            startS: { value: startS, low: startS, high: startS, level: 0.9 },
            softS: part.softS,
            fromW: endPower(before, run.series),
          }
        : null,
    }
  })
}

/** One stage for each part of a run: as a load without pauses is drafted. */
export function draftsOf(shapes: readonly DraftStage['shape'][], options: RunOptions): readonly DraftStage[] {
  return stretchesOf(options).map((stretch, k) => ({ shape: shapes[k]!, stretches: [stretch] }))
}
