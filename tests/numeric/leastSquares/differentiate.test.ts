import { describe, expect, it } from 'vitest'
import { type DerivativeGrade, differentiator } from '../../../src/numeric/leastSquares/differentiate.js'

const of = (...values: number[]) => Float64Array.from(values)
const FAR = 1e300

/** A function with a record of where it was asked. */
function asked(residuals: (p: Float64Array) => number[], lower: number[], upper: number[]) {
  const places: number[][] = []
  const evaluate = (p: Float64Array) => {
    places.push([...p])
    return of(...residuals(p))
  }
  const derivatives = differentiator(evaluate, { lower: of(...lower), upper: of(...upper) })
  /** Columns, and the offsets of one parameter at which residuals were asked for. */
  const look = (grade: DerivativeGrade, at: number[], j = 0) => {
    places.length = 0
    const columns = derivatives[grade](of(...at), of(...residuals(of(...at))))
    return { columns, offsets: places.map((place) => place[j]! - at[j]!), count: places.length }
  }
  return { look, derivatives }
}

/** Curved residuals of two parameters, and their derivatives. */
const CURVED = ([p, q]: Float64Array) => [Math.exp(p!), p! * q! ** 2, Math.sin(q!)]
const slopesOf = ([p, q]: number[]) => [
  [Math.exp(p!), q! ** 2, 0],
  [0, 2 * p! * q!, Math.cos(q!)],
]

/** The largest miss of columns, relative to each column. */
function miss(columns: readonly Float64Array[], expected: readonly number[][]): number {
  expect(columns.map((column) => column.length)).toEqual(expected.map((column) => column.length))
  return Math.max(
    ...expected.map(
      (column, j) => Math.hypot(...column.map((value, i) => columns[j]![i]! - value)) / Math.hypot(...column),
    ),
  )
}

describe('derivatives by differences', () => {
  it('cost one evaluation a parameter for 7 digits, two for 9, and more for 12', () => {
    const at = [0.7, 1.3]
    const { look } = asked(CURVED, [-FAR, -FAR], [FAR, FAR])
    const quick = look('quick', at)
    expect(quick.count).toBe(2)
    expect(miss(quick.columns!, slopesOf(at))).toBeLessThan(1e-7)
    const coarse = look('coarse', at)
    expect(coarse.count).toBe(4)
    expect(miss(coarse.columns!, slopesOf(at))).toBeLessThan(1e-9)
    const fine = look('fine', at)
    expect(fine.count).toBeGreaterThanOrEqual(2 * 8)
    expect(miss(fine.columns!, slopesOf(at))).toBeLessThan(1e-12)
  })

  it('take steps that balance cutting off and rounding, relative to the parameter', () => {
    const { look } = asked(CURVED, [-FAR, -FAR], [FAR, FAR])
    expect(look('quick', [2, 1]).offsets[0]! / (2 * Math.sqrt(Number.EPSILON))).toBeCloseTo(1, 6)
    expect(look('quick', [2, -4], 1).offsets[1]! / (4 * Math.sqrt(Number.EPSILON))).toBeCloseTo(1, 6)
    const [up, down] = look('coarse', [2, 1]).offsets
    expect(up! / (2 * Math.cbrt(Number.EPSILON))).toBeCloseTo(1, 6)
    expect(down).toBeCloseTo(-up!, 12)
  })

  it('find the best step once, and again when it is forgotten', () => {
    const at = [0.7, 1.3]
    const { look, derivatives } = asked(CURVED, [-FAR, -FAR], [FAR, FAR])
    const first = look('fine', at)
    const again = look('fine', at)
    // A whole and a half central difference each.
    expect(again.count).toBe(8)
    expect(again.columns).toEqual(first.columns)
    derivatives.forgetSteps()
    expect(look('fine', at).count).toBe(first.count)
  })

  it('look no further than two steps that agree, as those of a line do', () => {
    for (const slope of [3, 3e6, 3e-6]) {
      const { count, columns } = asked(([p]) => [slope * p!], [-FAR], [FAR]).look('fine', [1])
      expect(count).toBe(8)
      expect(miss(columns!, [[slope]])).toBeLessThan(1e-12)
    }
  })

  it('of a function that waves quickly settle on a small step, of a noisy one on a large one', () => {
    const waves = asked(([p]) => [Math.sin(3000 * p!)], [-FAR], [FAR])
    expect(miss(waves.look('fine', [1]).columns!, [[3000 * Math.cos(3000)]])).toBeLessThan(1e-8)
    expect(Math.max(...waves.look('fine', [1]).offsets)).toBeLessThan(2e-4)
    const noisy = asked(([p]) => [p! ** 2 + 1e-9 * Math.sin(1e7 * p!)], [-FAR], [FAR])
    expect(miss(noisy.look('fine', [1]).columns!, [[2]])).toBeLessThan(1e-7)
    expect(Math.max(...noisy.look('fine', [1]).offsets)).toBeGreaterThan(2e-2)
  })
})

describe('a parameter at 0', () => {
  it('takes a step that residuals feel, whatever their unit', () => {
    const steep = asked(([p]) => [1 + 1e6 * p!, 2], [-FAR], [FAR])
    expect(miss(steep.look('quick', [0]).columns!, [[1e6, 0]])).toBeLessThan(1e-6)
    const flat = asked(([p]) => [1 + 1e-13 * p!, 2], [-FAR], [FAR])
    expect(miss(flat.look('coarse', [0]).columns!, [[1e-13, 0]])).toBeLessThan(1e-3)
    const none = asked(() => [1, 2], [-FAR], [FAR])
    expect([...none.look('quick', [0]).columns![0]!]).toEqual([0, 0])
    const broken = asked(([p]) => [p! > 0.5 ? Number.NaN : 1 + p!], [-FAR], [FAR])
    expect(miss(broken.look('coarse', [0]).columns!, [[1]])).toBeLessThan(1e-6)
  })

  it('takes a step over which residuals are nearly straight', () => {
    const fast = asked(([p]) => [Math.exp(1e6 * p!)], [-FAR], [FAR])
    expect(miss(fast.look('coarse', [0]).columns!, [[1e6]])).toBeLessThan(1e-6)
    const slow = asked(([p]) => [2 + Math.sin(p!)], [-FAR], [FAR])
    expect(miss(slow.look('coarse', [0]).columns!, [[1]])).toBeLessThan(1e-6)
  })

  it('stays within its bounds, on the side with more room', () => {
    for (const [lower, upper] of [
      [0, 0.5],
      [-2, 0],
      [-0.3, 0.2],
    ] as const) {
      for (const slope of [1, 1e-12]) {
        const { columns, offsets } = asked(([p]) => [1 + slope * p!], [lower], [upper]).look('coarse', [0])
        expect(Math.min(...offsets)).toBeGreaterThanOrEqual(lower)
        expect(Math.max(...offsets)).toBeLessThanOrEqual(upper)
        expect(offsets[0]! > 0).toBe(upper > -lower)
        if (slope === 1) expect(miss(columns!, [[1]])).toBeLessThan(1e-6)
      }
    }
  })

  it('keeps a ten-thousandth of the largest size that it has had', () => {
    const { look } = asked(([p]) => [1 + p!], [-FAR], [FAR])
    look('quick', [100])
    const { offsets, count } = look('quick', [0])
    expect(count).toBe(1)
    expect(offsets[0]! / (1e-2 * Math.sqrt(Number.EPSILON))).toBeCloseTo(1, 9)
  })
})

describe('derivatives beside a bound', () => {
  const square = ([p]: Float64Array) => [p! ** 2, Math.exp(p!)]
  const slopes = (p: number) => [[2 * p, Math.exp(p)]]
  const grades = ['quick', 'coarse', 'fine'] as const
  const digits = { quick: 1e-6, coarse: 1e-8, fine: 1e-10 }

  it.each(grades)('stay inside of it: %s', (grade) => {
    for (const [lower, upper] of [
      [1, FAR],
      [-FAR, 1],
      [1, 1.5],
      [0.5, 1],
    ] as const) {
      const { look } = asked(square, [lower], [upper])
      const { columns, offsets } = look(grade, [1])
      for (const offset of offsets) {
        expect(1 + offset).toBeGreaterThanOrEqual(lower)
        expect(1 + offset).toBeLessThanOrEqual(upper)
      }
      expect(miss(columns!, slopes(1))).toBeLessThan(digits[grade])
    }
  })

  it.each(grades)('take the side with more room, and no more than there is: %s', (grade) => {
    const room = 1e-9
    for (const [lower, upper] of [
      [1 - room, 1 + room / 4],
      [1 - room / 4, 1 + room],
    ] as const) {
      const { offsets, columns } = asked(square, [lower], [upper]).look(grade, [1])
      const farthest = offsets.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a))
      expect(Math.abs(farthest) / room).toBeCloseTo(1, 5)
      expect(farthest > 0).toBe(upper - 1 > 1 - lower)
      for (const offset of offsets) expect(offset > 0).toBe(farthest > 0)
      expect(miss(columns!, slopes(1))).toBeLessThan(1e-4)
    }
  })
})

describe('derivatives where residuals have no value', () => {
  const upTo = (edge: number) => asked(([p]) => [p! <= edge ? p! ** 2 : Number.NaN], [-FAR], [FAR])

  it.each(['quick', 'coarse', 'fine'] as const)('take smaller steps: %s', (grade) => {
    const { columns } = upTo(1 + 1e-6).look(grade, [1])
    expect(miss(columns!, [[2]])).toBeLessThan(1e-3)
  })

  it('are none where no step has one', () => {
    for (const grade of ['quick', 'coarse', 'fine'] as const)
      expect(
        asked(([p]) => [p === 1 ? 1 : Number.NaN], [-FAR], [FAR]).look(grade, [1]).columns,
      ).toBeUndefined()
  })
})
