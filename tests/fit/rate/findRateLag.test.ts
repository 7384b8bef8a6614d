import { describe, expect, it } from 'vitest'
import { findRateLag } from '../../../src/fit/rate/findRateLag.js'
import { pacedSamples } from '../../../src/fit/rate/pacedSamples.js'
import { fitMachine } from '../../../src/machine/fitMachine.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'
import { parseSheet } from '../../../src/sheet/parseSheet.js'
import { makeSteps } from '../../segment/makeSteps.js'

const STEP_S = 11
const WATTS = [305, 480, 572, 660, 692, 693] as const
/** What a card of our own made of them; the last two steps are one power, held by its limit, at two paces. */
const PACES = [176, 352, 440, 528, 607, 668] as const

/** A staircase of work from idle; the pace is logged `lagS` late. */
function staircase(lagS: number) {
  const levels = [[100, 20], ...WATTS.map((powerW) => [powerW, STEP_S] as const), [100, 20]] as const
  const trace = makeSteps({ levels, everyS: 0.5, noiseW: 6 })
  const rate = trace.timesS.map((timeS) => PACES[Math.floor((timeS - lagS - 20) / STEP_S)] ?? 0)
  const spans = [{ startS: 20, endS: 20 + STEP_S * WATTS.length }]
  const paced = { ...trace, rate }
  return findRateLag(pacedSamples(paced, spans, false), paced, spans)
}

describe('the lag of a pace behind its power', () => {
  it('is none on a staircase, where the pace of each step would fit the power of the step before as smoothly', () => {
    expect(Math.abs(staircase(0))).toBeLessThan(1)
  })

  it('is none on a card that went up a staircase, and the curve runs through the steps that its limit let pass', async () => {
    const sheet = parseSheet(
      `machine: M
chip: card
chassis: slot
workload: { name: products, score: T/s, better: higher }
trials:
  - log: tests/recordings/card-stairs.csv
    rate: "pace [TFLOP/s]"
`,
      'card.yaml',
    )
    const { chip, warnings } = await fitMachine(sheet)
    expect(warnings.map(({ code }) => code)).not.toContain('rate-lags')
    // Medians of the log's own columns, steps 2 and 3.
    for (const [powerW, pace] of [
      [480, 352],
      [572, 440],
    ] as const) {
      const { value, low, high } = chipAt(chip, powerW)!.score
      expect(Math.abs(value / pace - 1)).toBeLessThan(0.06)
      expect(low).toBeLessThan(1.02 * pace)
      expect(high).toBeGreaterThan(0.98 * pace)
    }
  })

  it('is found on a staircase whose pace is logged late', () => {
    expect(Math.abs(staircase(4) - 4)).toBeLessThan(1)
  })
})
