import { describe, expect, test } from 'vitest'
import type { Chip, WeightedCurve } from '../../../src/physics/chip/chip.js'
import type { Chassis, ThermalModel } from '../../../src/physics/loop/chassis.js'
import { type ProjectionRequest, projectScore } from '../../../src/predict/projection/projectScore.js'
import { projectionDraws, projectTarget } from '../../../src/predict/projection/projectTarget.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

// The first run is none of the last three.
const LOOP = { runs: 4, gapS: 0 }
const exact = (value: number) => about(value, 1e-9)
const flat = (watts: number, parts: Partial<Chassis> = {}): Chassis =>
  oneBudget({ burstW: exact(watts), sustainedW: exact(watts), budgets: [], burstHoldS: null, ...parts })
const asked = (parts: Partial<ProjectionRequest> = {}) =>
  projectScore({ chip: powerLawChip(), target: { sustainedW: 60 }, loop: LOOP, ...parts })

/** As many draws of 0.5 as `live` says; the others do no work at all. */
const partlyDead = (live: number, count = 40): Chip => {
  const draws = Array.from({ length: count }, (_, k): WeightedCurve => {
    const scale = k < live * count ? 100 / 60 ** 0.5 : 0
    return { weight: 1 / count, curve: { shape: 'power-law', scale, exponent: 0.5 } }
  })
  return powerLawChip({ draws })
}

describe('runs that never end', () => {
  const unusable = (message: RegExp) =>
    expect.objectContaining({ code: 'loop-unusable', message: expect.stringMatching(message) })
  const askedOf = (live: number, target: ProjectionRequest['target']) => () =>
    asked({ chip: partlyDead(live), target })

  test('of most draws, or of so many that the interval has them, are no projection', () => {
    const tooLow =
      /^expected a power that lets a run end, got 60.0 W: held for good, Kestrel 16, measured from 50.0 to 70.0 W, takes months for one run$/
    expect(askedOf(0.4, { sustainedW: 60 })).toThrow(unusable(tooLow))
    expect(askedOf(0.9, { sustainedW: 60 })).toThrow(unusable(tooLow))
  })

  test('of some draws in a chassis are put down to the chassis, of most to the power', () => {
    expect(askedOf(0.9, flat(60))).toThrow(unusable(/^expected a chassis whose limits are known/))
    expect(askedOf(0.4, flat(60))).toThrow(unusable(/^expected a power that lets a run end/))
  })

  test('of few draws leave the others to say what it scores', () => {
    const { steady } = askedOf(0.975, { sustainedW: 60 })()
    expect(steady.score.value).toBeCloseTo(100, 6)
    expect(steady.score.low).toBeCloseTo(100, 6)
  })
})

describe('the draw that is shown', () => {
  test('is the one whose steady score is nearest to the middle', () => {
    const request = { chip: powerLawChip({}, 0.5, 0.2), loop: LOOP }
    const draws = projectionDraws(request.chip, LOOP, false)
    const { central, steady, steadyScores } = projectTarget(request, { sustainedW: 90 }, draws)
    const nearest = Math.min(...[...steadyScores].map((score) => Math.abs(score - steady.score.value)))
    const shown = central.plan.rate(90)
    expect(Math.abs(shown - steady.score.value)).toBeLessThanOrEqual(nearest * 1.001 + 1e-9)
    expect(central.plan).toMatchObject({ runs: 4, gapS: 0, work: 6000, durationS: 60 })
    expect(central.machine.peakW).toBe(90)
  })
})

describe('temperature', () => {
  const warm = powerLawChip({ referenceC: 70 }, 0.5, 0)
  const chip = { ...warm, draws: warm.draws.map((draw) => ({ ...draw, heatPerK: 0.002 })) }
  const thermal: ThermalModel = {
    resistanceKPerW: exact(1),
    stages: [{ rKPerW: 1, tauS: 1 }],
    ceilingC: null,
    ambientC: 20,
  }
  const heat = (celsius: number) => Math.expm1(0.0125 * (celsius - 70)) / 0.0125

  test('of the target costs what leakage costs, in its own room or in another', () => {
    const scored = (ambientC?: number) =>
      asked({ chip, target: flat(60, { thermal }), ...(ambientC === undefined ? {} : { ambientC }) }).steady
        .score.value
    expect(scored()).toBeCloseTo(100 * Math.exp(-0.002 * heat(80)), 2)
    expect(scored(35)).toBeCloseTo(100 * Math.exp(-0.002 * heat(95)), 2)
  })

  test('is not known of limits in numbers: 78 °C, give or take', () => {
    const { score } = asked({ chip }).steady
    // Forty-one draws of the spread: their middle is near that of the spread.
    expect(Math.abs(score.value - 100 * Math.exp(-0.002 * heat(78)))).toBeLessThan(0.15)
    expect(score.high - score.low).toBeGreaterThan(2)
  })

  test('with pauses is lower: half of the time at idle power', () => {
    const paused = asked({ chip, target: flat(60, { thermal }), loop: { runs: 4, gapS: 60 } })
    expect(paused.steady.score.value).toBeGreaterThan(
      asked({ chip, target: flat(60, { thermal }) }).steady.score.value + 1,
    )
  })

  test('of a room is one that people test in', () => {
    for (const ambientC of [-40, 60]) expect(() => asked({ ambientC })).not.toThrow()
    for (const ambientC of [-41, 61, Number.NaN]) {
      expect(() => asked({ ambientC })).toThrow(
        expect.objectContaining({
          code: 'ambient-out-of-reach',
          message: expect.stringMatching(/^expected a room of -40 to 60 °C, got /),
        }),
      )
    }
  })
})

describe('powers that a projection reaches', () => {
  test('are those of its runs, pauses left out, and lie outside by more than two per cent', () => {
    const { extrapolation, warnings } = asked({ loop: { runs: 2, gapS: 5 }, idleW: 4 })
    expect(extrapolation).toEqual({ measuredRangeW: [50, 70], targetRangeW: [60, 60], outside: false })
    expect(warnings).toEqual([])
    const isOutside = (sustainedW: number) => asked({ target: { sustainedW } }).extrapolation.outside
    expect([48.9, 49.1, 71.3, 71.5].map(isOutside)).toEqual([true, false, false, true])
  })

  test('are the limits of a chassis as they are told, however wide their intervals', () => {
    const budgeted = oneBudget({ burstW: about(90, 9), sustainedW: about(60, 9) })
    const [lowW, highW] = asked({ target: budgeted, loop: { runs: 20, gapS: 0 } }).extrapolation.targetRangeW
    expect(lowW).toBeCloseTo(60, 1)
    expect(highW).toBe(90)
  })

  test('are warned of by the one that is farther out', () => {
    const farthest = (burstW: number, sustainedW: number) => {
      const target = { sustainedW, burstW, burstForS: 10 }
      const { extrapolation, warnings } = asked({ target, loop: { runs: 2, gapS: 0 } })
      expect(extrapolation.targetRangeW).toEqual([sustainedW, burstW])
      return warnings
    }
    // 80 / 70 against 50 / 25, and 140 / 70 against 50 / 40.
    const warning = (powerW: number) => [{ code: 'extrapolated', measuredRangeW: [50, 70], powerW }]
    expect(farthest(80, 25)).toEqual(warning(25))
    expect(farthest(140, 40)).toEqual(warning(140))
  })

  test('may not be asked for ten times beyond the measured ones, of any limit in numbers', () => {
    const wrong = expect.objectContaining({ code: 'power-out-of-reach' })
    const refused: readonly Partial<ProjectionRequest>[] = [
      { target: { sustainedW: 4.9 } },
      { target: { sustainedW: 60, burstW: 701, burstForS: 9 } },
      { target: { sustainedW: 60, burstW: 90, burstForS: 9, shortTermW: 4, shortTermForS: 60 } },
      { sweepW: [60, 701] },
    ]
    for (const parts of refused) expect(() => asked(parts)).toThrow(wrong)
    // A chassis has the limits that it has.
    expect(() => asked({ target: flat(60, { burstW: exact(900) }) })).not.toThrow()
  })
})

describe('beside the machine as tested', () => {
  test('the change has the interval of both: that of the projection and that of the measured score', () => {
    const chip = powerLawChip({}, 0.5, 0.1)
    const asTested = { firstScore: null, steadyScore: about(80, 3) }
    const { steady, change } = asked({ chip, target: { sustainedW: 90 }, asTested })
    const { value, low, high } = steady.score
    const half = (side: number) => 100 * (value / 80) * Math.hypot(side / value, 0.03)
    expect(change.firstPct).toBeNull()
    expect(change.steadyPct!.value).toBeCloseTo(100 * (value / 80 - 1), 9)
    expect(change.steadyPct!.low).toBeCloseTo(100 * (value / 80 - 1) - half(value - low), 2)
    expect(change.steadyPct!.high).toBeCloseTo(100 * (value / 80 - 1) + half(high - value), 2)
  })

  test('what the model misses of the test’s own steady score widens the steady run, and no other', () => {
    const sharp = powerLawChip({}, 0.5, 0)
    const widths = (score: number | null, testedLoop = LOOP) => {
      const asTested = { firstScore: null, steadyScore: score === null ? null : about(score, 0.01) }
      const sweepW = [70]
      const found = asked({ chip: sharp, tested: flat(60), asTested, testedLoop, sweepW })
      const width = ({ score }: typeof found.steady) => score.high / score.low - 1
      return [width(found.first), width(found.steady), width(found.sweep[0]!.steady)]
    }
    for (const width of [...widths(null), ...widths(100)]) expect(width).toBeLessThan(1e-3)
    const [first, steady, swept] = widths(90)
    expect(first).toBeLessThan(1e-3)
    expect(steady).toBeGreaterThan(0.05)
    expect(swept).toBeGreaterThan(0.05)
  })

  test('a target that heat holds is told to get hot, though it asks for no more power', () => {
    const thermal = (ceilingC: number | null): ThermalModel => ({
      resistanceKPerW: exact(1),
      stages: [{ rKPerW: 1, tauS: 1 }],
      ceilingC,
      ambientC: 20,
    })
    const cautions = (target: ProjectionRequest['target']) =>
      asked({ chip: powerLawChip({}, 0.5, 0), target, tested: flat(60) }).cautions
    expect(cautions(flat(60, { thermal: thermal(95) }))).toEqual(['hot-surfaces', 'makers-limits'])
    expect(cautions(flat(60, { thermal: thermal(null) }))).toEqual([])
    expect(cautions(flat(60))).toEqual([])
    expect(cautions({ sustainedW: 60 })).toEqual([])
  })
})
