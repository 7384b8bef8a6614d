import { describe, expect, it } from 'vitest'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { DIRECTIONS, type Direction, type Foretold, foretellSweep } from './foretellSweep.js'
import { type PublishedSweep, shippedSweeps, sweepsOfFolder } from './readSweeps.js'

/** Every how many tables one is taken: the study takes all of them (`npm run study:sweeps`). */
const EVERY = 3

function some(sweeps: readonly PublishedSweep[]): readonly PublishedSweep[] {
  return sweeps.filter((_, k) => k % EVERY === 0)
}

function foretell(sweeps: readonly PublishedSweep[]): ReadonlyMap<Direction, readonly Foretold[]> {
  return new Map(
    DIRECTIONS.map((direction) => [
      direction,
      sweeps.flatMap(({ table }) => foretellSweep(table, direction)),
    ]),
  )
}

/** Intervals hold, say something, and the medians are nearer than those of a power law through the same levels. */
function expectHonest(answers: ReadonlyMap<Direction, readonly Foretold[]>): void {
  for (const direction of DIRECTIONS) {
    const some = answers.get(direction)!
    const held = some.filter((answer) => answer.held).length / some.length
    expect(held, `${direction}: share held at 90 %`).toBeGreaterThanOrEqual(0.8)
    expect(median(some.map(({ width }) => width)), `${direction}: width`).toBeLessThan(0.65)
    const error = median(some.map(({ error }) => Math.abs(error)))
    const ofPowerLaw = median(some.map(({ powerLawError }) => Math.abs(powerLawError)))
    expect(error, `${direction}: median error`).toBeLessThan(ofPowerLaw)
  }
}

function median(values: readonly number[]): number {
  return quantile(values, 0.5)
}

describe('published scores at several powers, one processor and four boards (publishedSweeps.json names the sources)', () => {
  it('are foretold from levels beside them, with intervals that hold', () => {
    expectHonest(foretell(some(shippedSweeps())))
  }, 60_000)
})

const rest = sweepsOfFolder(new URL('../../../shared/practice/sweeps/', import.meta.url))

describe('published scores whose licence lets nobody ship them', () => {
  it.skipIf(rest.length === 0)(
    'are foretold with intervals that hold (left out where the tables are not beside the project)',
    () => {
      expectHonest(foretell(some(rest)))
    },
    60_000,
  )
})
