import type { Trace } from '../../src/log/trace.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'

export interface Steps {
  /** Levels in W and how long each is held, s; the first may be idle. */
  readonly levels: readonly (readonly [powerW: number, forS: number])[]
  readonly everyS?: number
  readonly noiseW?: number
  /** Correlation of neighbouring noise. */
  readonly autocorrelation?: number
  readonly seed?: number
}

/** Power that steps from level to level, as a logger that averages over its intervals would note it. */
export function makeSteps({ levels, everyS = 1, noiseW = 0.5, autocorrelation = 0, seed = 1 }: Steps): Trace {
  const random = seededRandom(seed)
  const lengthS = levels.reduce((sum, [, forS]) => sum + forS, 0)
  const count = Math.floor(lengthS / everyS + 1e-9)
  const timesS = Float64Array.from({ length: count }, (_, i) => i * everyS)
  let error = random.normal() * noiseW
  const powerW = timesS.map((_, i) => {
    error = autocorrelation * error + Math.sqrt(1 - autocorrelation ** 2) * random.normal() * noiseW
    return meanBetween(levels, i * everyS, (i + 1) * everyS) + error
  })
  return traceOf(timesS, powerW)
}

/** A trace without temperature and clock. */
export function traceOf(
  timesS: Float64Array,
  powerW: Float64Array,
  temperatureC: Float64Array | null = null,
): Trace {
  const intervalS = timesS.length > 1 ? timesS[1]! - timesS[0]! : 1
  return { timesS, powerW, temperatureC, clockHz: null, intervalS, startEpochS: null, startOfDayS: null }
}

function meanBetween(levels: Steps['levels'], fromS: number, toS: number): number {
  let at = 0
  let joules = 0
  for (const [powerW, forS] of levels) {
    const overlap = Math.min(toS, at + forS) - Math.max(fromS, at)
    if (overlap > 0) joules += powerW * overlap
    at += forS
  }
  return joules / (toS - fromS)
}
