import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { fallsSteadily } from '../../../src/segment/stages/fallsSteadily.js'
import { draftsOf } from '../makeRun.js'
import { traceOf } from '../makeSteps.js'

/** Whether a load of so many seconds whose power follows this course, from 0 to 1, falls steadily. */
function steady(powerOf: (share: number) => number, { samples = 61, noiseW = 0, seed = 1 } = {}): boolean {
  const random = seededRandom(seed)
  const drafts = draftsOf(['level'], { parts: [[{ samples, levelW: 100 }]] })
  const { timesS } = drafts[0]!.stretches[0]!.run.series
  const trace = traceOf(
    timesS,
    timesS.map((s) => powerOf(s / (samples - 1)) + noiseW * random.normal()),
  )
  return fallsSteadily(trace, drafts)
}

const relaxation =
  (ratio: number, tau: number, from = 0) =>
  (share: number) =>
    share < from ? 100 : 100 * (ratio + (1 - ratio) * Math.exp((from - share) / tau))

describe('power that comes down bit by bit to the end of its load', () => {
  it('falls steadily, be it from the start or later, evenly or faster and faster', () => {
    expect(steady((share) => 100 - 40 * share)).toBe(true)
    expect(steady((share) => 100 - 40 * share ** 2)).toBe(true)
    expect(steady((share) => (share < 0.4 ? 100 : 100 - 70 * (share - 0.4)))).toBe(true)
    expect(steady((share) => 100 - 24 * share, { noiseW: 0.5 })).toBe(true)
  })

  it('does not where it falls by less than a fifth, or where few samples tell', () => {
    expect(steady((share) => 100 - 19 * share)).toBe(false)
    expect(steady((share) => 100 - 40 * share, { samples: 9 })).toBe(false)
    expect(steady((share) => 100 - 40 * share, { samples: 13 })).toBe(true)
  })

  it('does not where it comes back on its way, or at its end', () => {
    expect(steady((share) => 100 - 40 * share + (share > 0.5 && share < 0.6 ? 15 : 0))).toBe(false)
    expect(steady((share) => (share < 0.9 ? 100 - 40 * share : 95))).toBe(false)
  })
})

describe('what is no steady fall', () => {
  it('is one that comes back by more than a tenth of itself on its way', () => {
    // One part in twenty stands so much higher; each takes 2 W of the 40.
    const bump = (watts: number) =>
      steady((share) => 100 - 40 * share + (share > 0.25 && share <= 0.3 ? watts : 0), { samples: 401 })
    expect(bump(5)).toBe(true)
    expect(bump(7)).toBe(false)
  })

  it('is one of a loop', () => {
    const parts = [[{ samples: 61, levelW: 100 }]]
    const fall = (runIndex: number) => {
      const drafts = draftsOf(['level'], { parts, runIndex })
      const { timesS } = drafts[0]!.stretches[0]!.run.series
      return fallsSteadily(
        traceOf(
          timesS,
          timesS.map((s) => 100 - 0.6 * s),
        ),
        drafts,
      )
    }
    expect(fall(0)).toBe(true)
    expect(fall(1)).toBe(false)
  })
})

describe('power that a machine takes away', () => {
  it('does not fall steadily under heat, whatever the time constant, the depth and the noise', () => {
    const random = seededRandom(31)
    for (let seed = 0; seed < 300; seed++) {
      const course = relaxation(
        0.3 + 0.45 * random.uniform(),
        0.1 + 0.9 * random.uniform(),
        0.4 * random.uniform(),
      )
      expect(steady(course, { samples: 121, noiseW: random.uniform(), seed })).toBe(false)
    }
  })

  it('does not under set limits, one after the other', () => {
    expect(steady((share) => (share < 0.1 ? 100 : share < 0.6 ? 80 : 60))).toBe(false)
    expect(steady((share) => (share < 0.3 ? 100 : share < 0.55 ? 85 : share < 0.8 ? 70 : 40))).toBe(false)
  })
})

it('a task that asks for less and less is not said to be held by heat or by a limit, be its chip as warm as it draws', () => {
  const random = seededRandom(8)
  for (let seed = 0; seed < 40; seed++) {
    const [lengthS, ratio, everyS] = [
      50 + 150 * random.uniform(),
      0.35 + 0.3 * random.uniform(),
      [1, 2, 0.5][seed % 3]!,
    ]
    const samples = Math.round((lengthS + 60) / everyS)
    const timesS = Float64Array.from({ length: samples }, (_, i) => i * everyS)
    const powerAt = (s: number) => {
      const share = (s - 30) / lengthS
      return share < 0 || share > 1 ? 6 : 60 * (1 - (1 - ratio) * share)
    }
    const powerW = timesS.map((s) => powerAt(s) + 0.3 * random.normal())
    // A chip that follows within seconds, on a cooler that goes on warming.
    const celsius = timesS.map((s) =>
      Math.round(40 + 0.3 * powerAt(s - 4) + 0.04 * Math.max(0, Math.min(lengthS, s - 30))),
    )
    const labels = findLoads(traceOf(timesS, powerW, celsius)).flatMap(({ stages }) =>
      stages.map(({ heldBy }) => heldBy.label),
    )
    expect(labels).not.toContain('heat')
    expect(labels).not.toContain('power-limit')
  }
})
