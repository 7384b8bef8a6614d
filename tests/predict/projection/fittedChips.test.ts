import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { profileOfLevels } from '../../../src/fit/chip/profileRun.js'
import { chipSchema } from '../../../src/model/modelSchema.js'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { projectScore } from '../../../src/predict/projection/projectScore.js'
import { evenDoubles } from '../../evenDoubles.js'

/** A level noted by hand and the score that it earned. */
interface NotedScore {
  readonly powerW: number
  readonly score: number
}

/** The chip as `fit --chip` writes it and `project` reads it. */
function fitAndReread(levels: readonly NotedScore[], better: 'higher' | 'lower', runS: number | null): Chip {
  const runs = levels.map(({ powerW, score }) => ({
    sheet: 'sheet',
    startS: 600,
    endS: runS === null ? null : 600 + runS,
    score: better === 'higher' ? score : 1e5 / score,
    profile: profileOfLevels([{ powerW, seconds: runS ?? 60 }]),
    powerUncertainty: 0.03,
  }))
  const workload = { name: 'tile render', score: better === 'higher' ? 'points' : 's', better }
  const { chip } = fitChip({ name: 'Kestrel 16', workload, runs })
  return chipSchema.parse(JSON.parse(JSON.stringify(chip)))
}

function expectAnswers(chip: Chip, targetsW: readonly number[]): void {
  for (const sustainedW of targetsW) {
    const { score } = projectScore({ chip, target: { sustainedW }, loop: { runs: 20, gapS: 0 } }).steady
    expect(score.low).toBeGreaterThan(0)
    expect(score.value).toBeGreaterThanOrEqual(score.low)
    expect(score.high).toBeGreaterThanOrEqual(score.value)
    expect(score.high).toBeLessThan(Number.POSITIVE_INFINITY)
  }
}

const pair = (powers: readonly number[], scores: readonly number[]): readonly NotedScore[] =>
  powers.map((powerW, i) => ({ powerW, score: scores[i]! }))

describe('a chip fitted to levels noted by hand', () => {
  it.each([
    ['two levels well above a large fixed power, asked at a third of them', [25, 40], [700, 960], 8],
    ['a knee among its lowest levels', [105, 117, 133, 160, 190], [480, 570, 620, 660, 690], 65],
    ['a collapse just above its power floor', [27, 29, 31, 34, 49], [100, 220, 310, 420, 610], 13.5],
    ['scores that fall as power rises', [193, 217, 227], [1003, 1001, 998], 97],
    ['two scores at one power', [10, 10, 15], [940, 980, 1600], 5],
  ])('is read and projected: %s', (_shape, powers, scores, targetW) => {
    const chip = fitAndReread(pair(powers, scores), 'higher', null)
    expectAnswers(chip, [targetW, 2 * powers.at(-1)!])
  })

  it('is read, and answers for any power from half its range to twice, whatever the levels', () => {
    const level = fc.record({
      ratio: fc.double({ min: 1, max: 1.8, noNaN: true }),
      elasticity: evenDoubles(-0.2, 4),
    })
    const tests = fc.record({
      firstW: fc.double({ min: 2, max: 600, noNaN: true }),
      firstScore: fc.double({ min: 0.01, max: 1e6, noNaN: true }),
      steps: fc.array(level, { minLength: 0, maxLength: 9 }),
      better: fc.constantFrom('higher' as const, 'lower' as const),
      runS: fc.option(fc.double({ min: 10, max: 3600, noNaN: true }), { nil: null }),
      share: evenDoubles(0, 1),
    })
    fc.assert(
      fc.property(tests, ({ firstW, firstScore, steps, better, runS, share }) => {
        const levels = [{ powerW: firstW, score: firstScore }]
        for (const { ratio, elasticity } of steps) {
          const { powerW, score } = levels.at(-1)!
          levels.push({ powerW: powerW * ratio, score: score * ratio ** elasticity })
        }
        const [lowW, highW] = [firstW / 2, levels.at(-1)!.powerW * 2]
        expectAnswers(fitAndReread(levels, better, runS), [lowW, lowW * (highW / lowW) ** share, highW])
      }),
      { numRuns: 40 },
    )
  })
})
