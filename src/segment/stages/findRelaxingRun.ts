import { correlationFactor, type Noise } from '../../numeric/statistics/noise.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Series } from '../cut/fitPiece.js'
import { isDecay, SAME_SHARE } from '../cut/part.js'
import { type Stretch, settledFrom } from '../cut/stretch.js'

/** Fewest samples on either side of the comparison, and shortest time between their middles, s. */
const FEWEST = 3
const SHORTEST_S = 6

/**
 * The first run of a loop from which heat holds the power, or undefined.
 *
 * Under heat the runs still give way from their middle to their end, run after run: a budget's controller is done by then, and a timed step falls
 * into one run only. So the test is on the median fall over the later half of the runs, against its own error; the relaxation began with the
 * first run that falls clearly.
 */
export function findRelaxingRun(byRun: readonly (readonly Stretch[])[], noise: Noise): number | undefined {
  const falls = byRun.map((stretches) => fallWithin(stretches.at(-1)!, noise))
  const later = falls.slice(Math.floor(falls.length / 2)).filter((fall) => fall !== undefined)
  if (later.length < 2) return undefined
  const typical = quantile(
    later.map((fall) => fall.share),
    0.5,
  )
  const error =
    (1.25 *
      quantile(
        later.map((fall) => fall.error),
        0.5,
      )) /
    Math.sqrt(later.length)
  if (typical < Math.max(0.4 * SAME_SHARE, 3 * error)) return undefined
  const first = falls.findIndex((fall, k) => {
    const last = byRun[k]!.at(-1)!
    return (
      (fall !== undefined && fall.share > Math.max(SAME_SHARE, 3 * fall.error)) ||
      isDecay(last.part, last.run.series)
    )
  })
  return first < 0 ? Math.floor(falls.length / 2) : first
}

interface Fall {
  /** Share of the power by which a run falls from its middle to its end, and the error of that. */
  readonly share: number
  readonly error: number
}

function fallWithin(last: Stretch, noise: Noise): Fall | undefined {
  const { series } = last.run
  const firstS = series.timesS[0]!
  const endS = series.timesS.at(-1)!
  const fromS = Math.max(firstS + 0.4 * (endS - firstS), series.timesS[settledFrom(last)]!)
  const third = (endS - fromS) / 3
  if (2 * third < SHORTEST_S) return undefined
  const middle = between(series, fromS, fromS + third)
  const end = between(series, endS - third, endS)
  if (middle.length < FEWEST || end.length < FEWEST) return undefined
  const endW = quantile(end, 0.5)
  // A median scatters 1.25 times as much as a mean.
  const error = 1.25 * noise.scale * Math.sqrt(correlationFactor(noise.autocorrelation))
  return {
    share: (quantile(middle, 0.5) - endW) / endW,
    error: (error * Math.sqrt(1 / middle.length + 1 / end.length)) / endW,
  }
}

function between(series: Series, fromS: number, toS: number): readonly number[] {
  const values: number[] = []
  for (let i = 0; i < series.timesS.length; i++) {
    const timeS = series.timesS[i]!
    if (timeS >= fromS && timeS <= toS && series.weights[i]! > 0) values.push(series.powerW[i]!)
  }
  return values
}
