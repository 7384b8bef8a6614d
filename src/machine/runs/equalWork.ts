import type { Trace } from '../../log/trace.js'
import type { RunStretch } from './placeUntimed.js'

/**
 * Divides a stretch of a log into runs of the same work, where no pauses tell them apart: each has the same share of the sum of the square root of
 * power over time, as a run at higher power is done sooner.
 *
 * @param runs - how many there are
 * @returns undefined where the log has fewer than two samples for each: the stretch as a whole then tells no less
 * @source elasticity of score to power about one half: the middle of the prior in `../../fit/README.md`
 */
export function equalWork(
  trace: Trace,
  stretch: RunStretch,
  runs: number,
): readonly RunStretch[] | undefined {
  const pieces = piecesOf(trace, stretch)
  if (pieces.length < LEAST_SAMPLES * runs) return undefined
  const total = pieces.reduce((sum, { work }) => sum + work, 0)
  if (!(total > 0)) return undefined
  const cuts: number[] = [stretch.startS]
  let done = 0
  for (const { fromS, toS, work } of pieces) {
    while (cuts.length < runs && (done + work) * runs >= cuts.length * total && work > 0) {
      cuts.push(fromS + ((toS - fromS) * ((cuts.length * total) / runs - done)) / work)
    }
    done += work
  }
  return cuts.map((startS, k) => ({ startS, endS: cuts[k + 1] ?? stretch.endS }))
}

const LEAST_SAMPLES = 2

/** Intervals between samples, cut to the stretch, with what is done in each. */
function piecesOf({ timesS, powerW }: Trace, { startS, endS }: RunStretch) {
  const pieces: { readonly fromS: number; readonly toS: number; readonly work: number }[] = []
  for (let i = 1; i < timesS.length && timesS[i - 1]! < endS; i++) {
    const [fromS, toS] = [Math.max(startS, timesS[i - 1]!), Math.min(endS, timesS[i]!)]
    if (toS <= fromS) continue
    const pace = powerW[i]! > 0 ? Math.sqrt(powerW[i]!) : 0
    pieces.push({ fromS, toS, work: pace * (toS - fromS) })
  }
  return pieces
}
