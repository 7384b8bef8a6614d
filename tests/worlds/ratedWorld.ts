import { type ChassisKind, drawChassis } from './chassisTruth.js'
import { chipTruth, drawChip } from './chipTruth.js'
import { type RandomStream, randomStream } from './randomStream.js'
import { simulate } from './simulate.js'

/** A load of a made-up machine, logged with the pace of its work beside the power. */
export interface RatedWorld {
  readonly timesS: Float64Array
  readonly powerW: Float64Array
  readonly temperatureC: Float64Array
  readonly rate: Float64Array
  readonly intervalS: number
  readonly loadStartS: number
  readonly loadEndS: number
  /** By how much the pace comes later than the power, s. */
  readonly lagS: number
  /** Noise-free pace at a constant power and temperature. */
  readonly rateAt: (powerW: number, temperatureC: number) => number
}

/** What the pace adds to what the clock says: noise of each sample, a wandering part (first-order autoregression), and a lag. */
export interface RateNoise {
  /** Relative standard deviations. */
  readonly white: number
  readonly wander: number
  /** Time over which the wandering part forgets, s. */
  readonly wanderS: number
  readonly lagS: number
}

export function drawRateNoise(random: RandomStream): RateNoise {
  return {
    white: random.logUniform(0.003, 0.03),
    wander: random.logUniform(0.003, 0.02),
    wanderS: random.logUniform(1, 20),
    lagS: random.pick([0, 0, 0, 2, 4]),
  }
}

/** One uninterrupted load of a drawn machine of this kind, with idle before and after. */
export function makeRatedWorld(
  seed: number,
  {
    kind,
    holdS = 900,
    noise,
  }: { readonly kind: ChassisKind; readonly holdS?: number; readonly noise?: RateNoise },
): RatedWorld {
  const random = randomStream(seed)
  const chip = chipTruth(drawChip(random, 'Plover X'))
  const chassis = drawChassis(random, kind, chip, 'Plover slim')
  const run = simulate(chip, chassis, { idleBeforeS: 30, idleAfterS: 20, plan: { form: 'hold', holdS } })
  const { white, wander, wanderS, lagS } = noise ?? drawRateNoise(random)
  const intervalS = random.pick([0.4, 1, 2])
  const scale = random.logUniform(20, 20_000)
  const per = Math.round(intervalS / run.stepS)
  const count = Math.floor(run.powerW.length / per)
  const isWork = (i: number) => i * run.stepS >= run.loadStartS && i * run.stepS < run.loadEndS
  const meanOf = (pick: (i: number) => number, k: number, shift = 0) => {
    let sum = 0
    for (let i = k * per - shift; i < (k + 1) * per - shift; i++) sum += i < 0 ? 0 : pick(i)
    return sum / per
  }
  const shift = Math.round(lagS / run.stepS)
  const keep = Math.exp(-intervalS / wanderS)
  let slow = random.normal()
  const column = (pick: (k: number) => number) => Float64Array.from({ length: count }, (_, k) => pick(k))
  return {
    timesS: column((k) => k * intervalS),
    powerW: column((k) => meanOf((i) => run.powerW[i]!, k) * (1 + 0.006 * random.normal())),
    temperatureC: column((k) =>
      Math.round(run.temperatureC[Math.min((k + 1) * per, run.temperatureC.length) - 1]!),
    ),
    rate: column((k) => {
      slow = keep * slow + Math.sqrt(1 - keep * keep) * random.normal()
      const pace = meanOf((i) => (isWork(i) ? chip.rateAtClock(run.clockGHz[i]!) : 0), k, shift)
      return scale * pace * Math.exp(white * random.normal() + wander * slow)
    }),
    intervalS,
    loadStartS: run.loadStartS - intervalS,
    loadEndS: run.loadEndS - intervalS,
    lagS,
    rateAt: (powerW, temperatureC) => scale * chip.rateAtClock(chip.clockAt(powerW, temperatureC)),
  }
}
