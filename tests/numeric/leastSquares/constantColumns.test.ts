import { describe, expect, test } from 'vitest'
import { constantColumns } from '../../../src/numeric/leastSquares/constantColumns.js'
import { fitLeastSquares } from '../../../src/numeric/leastSquares/fitLeastSquares.js'
import { leaseArrays } from '../../../src/numeric/leastSquares/leaseArrays.js'

const at = (...values: number[]) => Float64Array.from(values)

describe('a column of derivatives', () => {
  const made = () => constantColumns(1, 1e-8, () => new Float64Array(3))

  test('that is found twice the same is taken over within the step between, parameter by parameter', () => {
    const still = made()
    still.note(0, at(1, 10), at(1, 2, 3))
    const into = new Float64Array(3)
    expect(still.recall(0, at(1, 10), into)).toBe(false)
    still.note(0, at(3, 9), at(1, 2 + 1e-8, 3))
    expect(still.recall(0, at(4.9, 9.9), into)).toBe(true)
    expect([...into]).toEqual([1, 2 + 1e-8, 3])
    expect(still.recall(0, at(5.1, 9), into)).toBe(false)
    expect(still.recall(0, at(3, 7.9), into)).toBe(false)
  })

  test('that differs by more than two errors is found every time', () => {
    const still = made()
    still.note(0, at(1), at(1, 2, 3))
    still.note(0, at(3), at(1, 2, 3 + 1e-6))
    expect(still.recall(0, at(3), new Float64Array(3))).toBe(false)
    still.note(0, at(4), at(1, 2, 3 + 1e-6))
    expect(still.recall(0, at(4), new Float64Array(3))).toBe(false)
  })

  test('that is found again elsewhere may go as far from there as it came', () => {
    const still = made()
    still.note(0, at(0), at(1, 1, 1))
    still.note(0, at(1), at(1, 1, 1))
    still.note(0, at(5), at(1, 1, 1))
    expect(still.recall(0, at(8.9), new Float64Array(3))).toBe(true)
    expect(still.recall(0, at(0.9), new Float64Array(3))).toBe(false)
  })
})

describe('a fit', () => {
  const x = Array.from({ length: 60 }, (_, i) => i / 10)

  test('asks less often for the derivative of a parameter that its model is linear in', () => {
    const y = x.map((value, i) => 4 + 3 * Math.exp(-value / 1.7) + 0.01 * Math.sin(7 * i))
    const offsets = new Map<string, number>()
    const fit = fitLeastSquares({
      residuals: ([a, b, tau]) => {
        const rest = `${b} ${tau}`
        offsets.set(rest, (offsets.get(rest) ?? 0) + 1)
        return x.map((value, i) => a! + b! * Math.exp(-value / tau!) - y[i]!)
      },
      start: [3, 1, 1],
    })
    expect(fit.converged).toBe(true)
    // Only a step of the offset alone repeats the two others: twice, to see that its column stays.
    expect([...offsets.values()].filter((count) => count > 1)).toHaveLength(2)
  })

  test('of a soft kink finds the minimum that a fit from there finds, too', () => {
    const y = x.map((value) => 2 + 1.5 * Math.max(0, value - 2))
    const residuals = ([level, slope, kink]: readonly number[]) =>
      x.map((value, i) => level! + slope! * Math.log1p(Math.exp(8 * (value - kink!))) * 0.125 - y[i]!)
    const fit = fitLeastSquares({ residuals, start: [1, 1, 0.5] })
    expect(fit.converged).toBe(true)
    const exact = fitLeastSquares({ residuals, start: fit.parameters, tolerance: 0 })
    for (const [j, value] of fit.parameters.entries()) expect(value).toBeCloseTo(exact.parameters[j]!, 8)
    expect(fit.parameters[2]).toBeCloseTo(2, 1)
  })

  test('inside the residuals of another has room of its own', () => {
    const outer = (inner: boolean) =>
      fitLeastSquares({
        residuals: ([a, b]) => {
          const offset = inner
            ? fitLeastSquares({ residuals: ([c]) => x.map((value) => c! - value), start: [1] }).parameters[0]!
            : 2.95
          return x.map((value) => a! + b! * value - Math.sqrt(1 + value) - offset)
        },
        start: [0, 0],
      }).parameters
    const [alone, nested] = [outer(false), outer(true)]
    for (const [j, value] of alone.entries()) expect(nested[j]).toBeCloseTo(value, 9)
  })
})

test('arrays that were given back are lent again, those that weren’t are not', () => {
  const first = leaseArrays(7)
  const array = first.take()
  const second = leaseArrays(7)
  expect(second.take()).not.toBe(array)
  first.giveBack()
  expect(leaseArrays(7).take()).toBe(array)
  expect(leaseArrays(8).take()).toHaveLength(8)
})
