import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { DraftStage } from './draftStage.js'
import { valuesIn } from './holdEvidence.js'

/** A load in so many equal parts of time, of two samples at least each; fewest of the part that falls. */
const PARTS = 20
const LEAST_SAMPLES = 2
const FEWEST_PARTS = 5
/** Least fall, as a share of the power at the start; of it, what has fallen when the fall has begun, the most that a part takes, and what may come back; and how much of the first half the later takes at least. Common practice, no source. */
const FALL = { least: 0.2, begun: 0.1, mostOfOne: 0.35, back: 0.1, late: 0.88 }

/**
 * Whether uninterrupted power comes down bit by bit to the very end of its load, by about as much in the later half of the fall as in the first. A set
 * limit holds a level, and what heat takes gets less and less, as the chassis warms: of a relaxation the later half takes exp(-t / 2τ) of the
 * first. What does neither is a task that asks for less and less.
 */
export function fallsSteadily(trace: Trace, drafts: readonly DraftStage[]): boolean {
  const last = drafts.at(-1)!.stretches.at(-1)!
  if (last.runIndex > 0) return false
  const fall = fallingPart(powersOf(trace, drafts[0]!.stretches[0]!.startS, last.endS))
  if (fall.length < FEWEST_PARTS) return false
  const [fromW, toW] = [fall[0]!, fall.at(-1)!]
  const steps = fall.slice(1).map((powerW, k) => (fall[k]! - powerW) / (fromW - toW))
  const middleW = (fall[Math.floor((fall.length - 1) / 2)]! + fall[Math.ceil((fall.length - 1) / 2)]!) / 2
  return (
    Math.max(...steps) <= FALL.mostOfOne &&
    Math.min(...steps) >= -FALL.back &&
    middleW - toW >= FALL.late * (fromW - middleW)
  )
}

/** Median power of the parts, W; none of a load of few samples. */
function powersOf(trace: Trace, startS: number, endS: number): readonly number[] {
  const inside = valuesIn(trace, trace.powerW, [{ startS: startS + trace.intervalS, endS }])
  const count = Math.min(PARTS, Math.floor(inside.length / LEAST_SAMPLES))
  return Array.from({ length: count }, (_, k) => {
    const part = inside.slice(
      Math.floor((k * inside.length) / count),
      Math.floor(((k + 1) * inside.length) / count),
    )
    return quantile(part, 0.5)
  })
}

/** From the last part that has not fallen yet on; none where power ends up no lower. */
function fallingPart(powers: readonly number[]): readonly number[] {
  if (powers.length === 0) return []
  const topW = Math.max(...powers.slice(0, 3))
  const fallW = topW - powers.at(-1)!
  if (fallW < FALL.least * topW) return []
  const begun = powers.findIndex((powerW) => powerW < topW - FALL.begun * fallW)
  return powers.slice(Math.max(0, begun - 1))
}
