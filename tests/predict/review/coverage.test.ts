import { expect, it } from 'vitest'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { reviewWorld } from './reviewWorlds.js'

const WORLDS = Number(process.env.REVIEW_WORLDS ?? 6)
const WORKLOADS = 4

it(`of ${WORLDS} generated reviews, nine in ten intervals of results and of means over workloads hold the truth`, () => {
  const held = { asTested: 0, atPower: 0, meanAsTested: 0, meanAtPower: 0, widths: 0, results: 0 }
  for (let seed = 1; seed <= WORLDS; seed++) {
    const world = reviewWorld(900 + seed, WORKLOADS)
    const { results, means } = reviewMachines(world.machines)
    const mains = results.filter(({ mode }) => mode === 'mains')
    const atPower = mains.map(({ atW }, i) => world.atPower(atW!)[i]!)
    mains.forEach(({ pairs }, i) => {
      held.results += 1
      held.asTested += holds(pairs[0]!.asTested, world.asTested[i]!)
      held.atPower += holds(pairs[0]!.atEqualPower!, atPower[i]!)
    })
    const [mean] = means
    held.meanAsTested += holds(mean!.asTested.ratio, averageOf(world.asTested))
    held.meanAtPower += holds(mean!.atEqualPower!.ratio, averageOf(atPower))
    held.widths += Math.log(mean!.atEqualPower!.ratio.high / mean!.atEqualPower!.ratio.low) / WORLDS
  }
  if (process.env.REVIEW_WORLDS !== undefined) process.stderr.write(`${JSON.stringify(held)}\n`)
  // Of n such intervals n × 0.9 hold the truth, give or take 1.645 sqrt(0.09 n) in nine of ten draws; the seed is fixed.
  const least = (n: number) => Math.floor(0.9 * n - 2.3 * Math.sqrt(0.09 * n))
  expect(held.asTested).toBeGreaterThanOrEqual(least(held.results))
  expect(held.atPower).toBeGreaterThanOrEqual(least(held.results))
  expect(held.meanAsTested).toBeGreaterThanOrEqual(least(WORLDS))
  expect(held.meanAtPower).toBeGreaterThanOrEqual(least(WORLDS))
  // An interval that holds everything says nothing.
  expect(held.widths).toBeLessThan(0.12)
}, 600_000)

function holds({ low, high }: { readonly low: number; readonly high: number }, logTruth: number): number {
  return low <= Math.exp(logTruth) && Math.exp(logTruth) <= high ? 1 : 0
}

function averageOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}
