import type { ScoredRun } from '../../src/fit/chip/fitChip.js'
import { type Random, seededRandom } from '../../src/numeric/statistics/random.js'

/**
 * A simulated chip that shares no formula with the fit: alpha-power law, voltage floor, leakage that grows with voltage and
 * temperature, fixed power, and memory-bound work; the clock that a power pays for is found by bisection.
 */
export interface ChipWorld {
  rate(powerW: number, temperatureC: number): number
  readonly topW: number
  readonly random: Random
}

export function makeChipWorld(seed: number): ChipWorld {
  const random = seededRandom(seed)
  const between = (low: number, high: number) => low + (high - low) * random.uniform()
  const [alpha, threshold, topV, floorV] = [
    between(1.2, 1.7),
    between(0.2, 0.4),
    between(1, 1.3),
    between(0.6, 0.8),
  ]
  const law = (v: number) => (v - threshold) ** alpha / v
  const topW = between(90, 220)
  const [fixed, leak] = [topW * between(0.02, 0.12), topW * between(0.03, 0.18)]
  const dynamic = topW - fixed - leak
  const [growth, memory] = [between(0.006, 0.018), random.uniform() < 0.5 ? 0 : between(0.05, 0.4)]
  const voltageFor = (clock: number) => bisect((v) => law(v) / law(topV) >= clock, floorV, 2)
  const power = (clock: number, temperatureC: number) => {
    const v = voltageFor(clock)
    const heat = Math.exp(growth * (temperatureC - 70) + 1.5 * (v - topV))
    return fixed + dynamic * clock * (v / topV) ** 2 + leak * (v / topV) * heat
  }
  const rate = (powerW: number, temperatureC: number) => {
    const clock = bisect((x) => power(x, temperatureC) >= powerW, 0.01, 1.5)
    return 10_000 / ((1 - memory) / clock + memory)
  }
  return { rate, topW, random }
}

/** A looped test: a burst, then the settled level, with temperatures that follow the power, and scores that scatter. */
export function loopedRuns(
  world: ChipWorld,
  plan: {
    readonly runs: number
    readonly settledW: number
    readonly burstW: number
    readonly burstRuns: number
  },
): ScoredRun[] {
  const { random } = world
  const scatter = 0.002 + 0.005 * random.uniform()
  const settledC = 65 + 28 * random.uniform()
  const warmth = [0, 0]
  return Array.from({ length: plan.runs }, (_, k) => {
    const seconds = Array.from({ length: 20 }, (_, s) => {
      const trueW = k + s / 20 < plan.burstRuns ? plan.burstW : plan.settledW
      const riseK = ((settledC - 24) * trueW) / plan.settledW
      warmth[0]! += (0.4 * riseK - warmth[0]!) / 5
      warmth[1]! += (0.6 * riseK - warmth[1]!) / 60
      const temperatureC = Math.min(100, 24 + warmth[0]! + warmth[1]!)
      const loggedW = trueW * (1 + 0.008 * random.normal())
      return { loggedW, temperatureC, rate: world.rate(trueW, temperatureC) }
    })
    const mean = (pick: (second: (typeof seconds)[number]) => number) =>
      seconds.reduce((sum, second) => sum + pick(second), 0) / seconds.length
    return {
      sheet: 'loop',
      startS: 65 * k,
      endS: 65 * k + 60,
      score: mean((second) => second.rate) * Math.exp(scatter * random.normal()),
      profile: {
        powersW: seconds.map((second) => second.loggedW),
        secondsS: seconds.map(() => 3),
        meanW: mean((second) => second.loggedW),
        meanC: mean((second) => second.temperatureC),
      },
    }
  })
}

/** The lowest argument for which a condition that turns true once holds. */
function bisect(holds: (x: number) => boolean, from: number, to: number): number {
  let [low, high] = [from, to]
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2
    if (holds(middle)) high = middle
    else low = middle
  }
  return high
}
