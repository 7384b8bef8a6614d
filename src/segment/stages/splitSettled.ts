import type { Stretch } from '../cut/stretch.js'
import type { DraftStage } from './draftStage.js'

/** Neither part of a relaxation that is split may be shorter than this, s: two controllers' approaches; common practice, no source. */
export const SHORTEST_S = 5

/** Splits a relaxation that has settled into its course and the level that it settled at. */
export function splitSettled(drafts: readonly DraftStage[], fromS: number | null): readonly DraftStage[] {
  const last = drafts.at(-1)!
  if (last.shape === 'level' || fromS === null) return drafts
  const before = last.stretches.flatMap((stretch) => cutStretch(stretch, Number.NEGATIVE_INFINITY, fromS))
  const after = last.stretches.flatMap((stretch) => cutStretch(stretch, fromS, Number.POSITIVE_INFINITY))
  if (lengthS(before) < SHORTEST_S || lengthS(after) < SHORTEST_S) return drafts
  return [
    ...drafts.slice(0, -1),
    { shape: last.shape, stretches: before },
    { shape: 'level', stretches: after },
  ]
}

/** The part of a stretch between two times; at least two samples, or nothing. */
export function cutStretch(stretch: Stretch, fromS: number, toS: number): readonly Stretch[] {
  const { timesS } = stretch.run.series
  let { from, to } = stretch.part
  while (from < to && timesS[from]! <= fromS) from++
  while (to > from && timesS[to - 1]! > toS) to--
  if (to - from < 2) return []
  const startS = Math.max(stretch.startS, fromS)
  const pieces = stretch.part.pieces.filter((piece) => piece.from < to && piece.to > from)
  return [
    {
      ...stretch,
      part: { ...stretch.part, from, to, pieces },
      startS,
      endS: Math.min(stretch.endS, toS),
      edge: startS === stretch.startS ? stretch.edge : null,
    },
  ]
}

function lengthS(stretches: readonly Stretch[]): number {
  return stretches.reduce((sum, stretch) => sum + stretch.endS - stretch.startS, 0)
}
