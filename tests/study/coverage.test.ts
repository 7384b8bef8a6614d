import { describe, expect, it } from 'vitest'
import type { CoverageSample, WorldFindings } from './coverageSample.js'
import { evaluateItem } from './evaluateItem.js'
import { makeStudyWorlds, studyPlan } from './studyPlan.js'
import { groupBy, tallyCoverage, tallyFacts } from './tallyCoverage.js'

// The small form of `npm run study`, from seeds that the study doesn't use: 24 uninterrupted loads and two whole tests of
// three machines each. A coverage fails when chance gives one as low, or lower, to honest 90 % intervals in fewer than 1 of 200
// such tests. Intervals of one world go together, so worlds are counted, not intervals.

const CHANCE = 1 / 200

describe('printed 90 % intervals over generated worlds', () => {
  it('hold the truth as often as they say, and nothing fails', { timeout: 400_000 }, async () => {
    const findings: WorldFindings[] = []
    for (const item of studyPlan({ stages: 24, tests: 2 }, 4_400_000))
      findings.push(await evaluateItem(makeStudyWorlds(item)))
    expect(findings.flatMap(({ failures }) => failures)).toEqual([])
    const samples = findings.flatMap((found) => found.samples)
    const worlds = countWorlds(findings)
    const low = tallyCoverage(samples).flatMap(({ figure, coverage }) => {
      const count = worlds.get(figure)!
      return chanceOf(coverage * count, count) < CHANCE
        ? [`${figure}: ${(100 * coverage).toFixed(0)} %, ${count} worlds`]
        : []
    })
    expect(low).toEqual([])
    const facts = new Map(tallyFacts(findings.flatMap((found) => found.facts)).map((row) => [row.fact, row]))
    expect(facts.get('load found')!.mean).toBe(1)
    expect(facts.get('settled power within 1 %')!.mean).toBeGreaterThan(0.85)
    expect(facts.get('drops found')!.mean).toBeGreaterThan(0.85)
  })

  it('are told from intervals that are too narrow', () => {
    expect(chanceOf(12, 20)).toBeLessThan(CHANCE)
    expect(chanceOf(16, 20)).toBeGreaterThan(CHANCE)
  })
})

function countWorlds(findings: readonly WorldFindings[]): Map<string, number> {
  const counts = new Map<string, number>()
  for (const { samples } of findings)
    for (const figure of groupBy(samples, (sample: CoverageSample) => sample.figure).keys())
      counts.set(figure, (counts.get(figure) ?? 0) + 1)
  return counts
}

/** Probability of at most this many hits among honest 90 % intervals. */
function chanceOf(hits: number, count: number): number {
  let term = 0.1 ** count
  let sum = 0
  for (let k = 0; k <= Math.floor(hits + 1e-9); k++) {
    sum += term
    term *= ((count - k) / (k + 1)) * (0.9 / 0.1)
  }
  return sum
}
