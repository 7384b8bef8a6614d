import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { PiecewiseQuadratic } from '../../../src/numeric/changePoints/piecewiseQuadratic.js'
import { evenDoubles } from '../../evenDoubles.js'

const [LOW, HIGH] = [-4, 6]

type Change =
  | { readonly kind: 'cap'; readonly value: number; readonly label: number }
  | { readonly kind: 'add'; readonly y: number; readonly limit: number }

const changes = fc.array(
  fc.oneof(
    fc.record({
      kind: fc.constant('cap' as const),
      value: evenDoubles(0, 8),
      label: fc.integer({ min: 1, max: 9 }),
    }),
    fc.record({ kind: fc.constant('add' as const), y: evenDoubles(LOW, HIGH), limit: evenDoubles(0.2, 9) }),
  ),
  { maxLength: 14 },
)

/** The same function point by point: its value and label at x. */
function at(x: number, done: readonly Change[]): { readonly value: number; readonly label: number } {
  let [value, label] = [0, 0]
  for (const change of done) {
    if (change.kind === 'add') value += Math.min(change.limit, (x - change.y) ** 2)
    else if (change.value < value) [value, label] = [change.value, change.label]
  }
  return { value, label }
}

function made(done: readonly Change[], capacity?: number): PiecewiseQuadratic {
  const made = new PiecewiseQuadratic(LOW, HIGH, capacity)
  for (const change of done) {
    if (change.kind === 'add') made.addBounded(change.y, change.limit)
    else made.cap(change.value, change.label)
  }
  return made
}

const GRID = Array.from({ length: 401 }, (_, i) => LOW + ((HIGH - LOW) * i) / 400)

describe('a function of quadratic pieces', () => {
  test('has its least value where it says, and nowhere a lesser one', () => {
    fc.assert(
      fc.property(changes, evenDoubles(0, 3), evenDoubles(LOW - 2, HIGH + 2), (done, weight, centre) => {
        const least = made(done).leastWith(weight, centre, 0.5)
        const valueAt = (x: number) => at(x, done).value + 0.5 + weight * (x - centre) ** 2
        expect(least.at).toBeGreaterThanOrEqual(LOW)
        expect(least.at).toBeLessThanOrEqual(HIGH)
        expect(least.value).toBeCloseTo(valueAt(least.at), 7)
        expect(least.value).toBeLessThanOrEqual(Math.min(...GRID.map(valueAt)) + 1e-7)
      }),
      { numRuns: 150 },
    )
  })

  test('tells the label of where that is', () => {
    const done: readonly Change[] = [
      { kind: 'add', y: 0, limit: 100 },
      { kind: 'cap', value: 4, label: 3 },
    ]
    // x² up to 2 on both sides, 4 beyond.
    expect(made(done).leastWith(0, 0, 0)).toEqual({ value: 0, at: 0, label: 0 })
    expect(made(done).leastWith(1, 5, 0)).toEqual({ value: 4, at: 5, label: 3 })
    expect(made(done).leastWith(1, -4, 0)).toEqual({ value: 4, at: -4, label: 3 })
    expect(made(done).pieces).toBe(3)
  })

  test('has its least sum with another one', () => {
    fc.assert(
      fc.property(changes, changes, (mine, theirs) => {
        const least = made(mine).leastWithOther(made(theirs))
        const valueAt = (x: number) => at(x, mine).value + at(x, theirs).value
        expect(least.value).toBeCloseTo(valueAt(least.at), 7)
        expect(least.value).toBeLessThanOrEqual(Math.min(...GRID.map(valueAt)) + 1e-7)
      }),
      { numRuns: 100 },
    )
  })

  test('takes as many pieces as come', () => {
    const done = Array.from({ length: 60 }, (_, k): Change => ({ kind: 'add', y: LOW + k / 6, limit: 0.001 }))
    const small = made(done, 2)
    expect(small.pieces).toBe(made(done, 500).pieces)
    expect(small.leastWith(1, 3.3, 0)).toEqual(made(done, 500).leastWith(1, 3.3, 0))
  })

  test('keeps one piece where a cap lies below all of it, and where a second cap joins the first', () => {
    const capped = made([
      { kind: 'add', y: 0, limit: 100 },
      { kind: 'cap', value: -1, label: 5 },
    ])
    expect(capped.pieces).toBe(1)
    expect(capped.leastWith(0, 0, 0)).toMatchObject({ value: -1, label: 5 })
    capped.cap(-1, 6)
    expect(capped.leastWith(0, 0, 0).value).toBe(-1)
  })

  test('is 0 again once it is put back', () => {
    const used = made([
      { kind: 'add', y: 1, limit: 3 },
      { kind: 'cap', value: 1, label: 4 },
    ])
    used.reset()
    expect(used.pieces).toBe(1)
    expect(used.leastWith(0, 0, 0)).toEqual({ value: 0, at: LOW, label: 0 })
    expect(used.leastWith(2, HIGH + 1, 0)).toEqual({ value: 2, at: HIGH, label: 0 })
  })
})
