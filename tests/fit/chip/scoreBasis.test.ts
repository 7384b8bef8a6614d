import { describe, expect, it } from 'vitest'
import {
  bendFromCoefficients,
  bendRoom,
  HEAT_PER_K,
  heatFromCoefficients,
  scoreBasis,
} from '../../../src/fit/chip/scoreBasis.js'
import { elasticityAt } from '../../../src/physics/chip/scoreCurve.js'

const REFERENCE_W = 60
const at = (t: number) => REFERENCE_W * Math.exp(t)

/** Columns: scale, tilt, eight steps above, eight below, heat, level, sheets, noted powers. */
const [ABOVE, BELOW, HEAT, LEVEL, SHEETS] = [2, 10, 18, 19, 20]

function basisOf(
  powersLn: readonly number[],
  rows: readonly (readonly number[])[],
  parts: Partial<Parameters<typeof scoreBasis>[0]> = {},
) {
  return scoreBasis({
    grid: {
      powersW: Float64Array.from(powersLn, at),
      weights: rows.map((row) => Float64Array.from(row)),
      spans: [],
      rates: new Float64Array(powersLn.length),
    },
    referenceW: REFERENCE_W,
    sheets: rows.map(() => 0),
    heat: { heatK: rows.map(() => 0), measured: true } as never,
    powerUncertainties: rows.map(() => 0),
    spread: new Float64Array(rows.length).fill(1),
    elasticity: 0.5,
    elasticities: rows.map(() => 0.5),
    ...parts,
  })
}

describe('what moves ln score', () => {
  it('is scale, tilt by ln power, and a further slope from each step of 0.15 on', () => {
    const { basis } = basisOf(
      [-0.4, 0, 0.4],
      [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ],
    )
    const steps = (row: Float64Array, from: number) => Array.from(row.subarray(from, from + 8))
    const close = (values: readonly number[]) => values.map((value) => expect.closeTo(value, 9))
    expect(basis.map((row) => row[0])).toEqual([1, 1, 1])
    expect(basis.map((row) => row[1])).toEqual(close([-0.4, 0, 0.4]))
    expect(steps(basis[2]!, ABOVE)).toEqual(close([0.4, 0.25, 0.1, 0, 0, 0, 0, 0]))
    expect(steps(basis[2]!, BELOW)).toEqual(new Array(8).fill(0))
    expect(steps(basis[0]!, BELOW)).toEqual(close([-0.4, -0.25, -0.1, 0, 0, 0, 0, 0]))
    expect(steps(basis[0]!, ABOVE)).toEqual(new Array(8).fill(0))
  })

  it('counts time at higher power by its root', () => {
    const { basis } = basisOf([-0.4, 0.4], [[0.5, 0.5]])
    const [low, high] = [Math.sqrt(at(-0.4)), Math.sqrt(at(0.4))]
    expect(basis[0]![1]).toBeCloseTo((0.4 * (high - low)) / (high + low), 9)
    expect(basis[0]![ABOVE]).toBeCloseTo((0.4 * high) / (high + low), 9)
  })

  it('is heat, and a level where nobody measured the temperature', () => {
    const rows = [[1], [1]]
    const measured = basisOf([0], rows, { heat: { heatK: [5, -3], measured: true } as never })
    expect(measured.basis.map((row) => [row[HEAT], row[LEVEL]])).toEqual([
      [-5, 0],
      [3, 0],
    ])
    const supposed = basisOf([0], rows, { heat: { heatK: [5, -3], measured: false } as never })
    expect(supposed.basis.map((row) => row[LEVEL])).toEqual([1, 1])
  })

  it('is an offset of each sheet where there are several, and an error of each noted power', () => {
    const { basis, variances } = basisOf([0], [[1], [1], [1]], {
      sheets: [0, 1, 1],
      powerUncertainties: [0, 0.05, 0.1],
      elasticities: [0.9, 0.9, 0.1],
    })
    expect(basis.map((row) => Array.from(row.subarray(SHEETS)))).toEqual([
      [1, 0, 0, 0],
      [0, 1, expect.closeTo(0.045, 12), 0],
      // Never less than an elasticity of 0.3 makes of it.
      [0, 1, 0, expect.closeTo(0.03, 12)],
    ])
    expect(Array.from(variances.subarray(SHEETS))).toEqual(
      [1e-4, 1e-4, 1, 1].map((v) => expect.closeTo(v, 12)),
    )
    expect(basisOf([0], [[1]]).basis[0]).toHaveLength(SHEETS)
  })

  it('may bend in proportion where the curve is steep', () => {
    const usual = basisOf([0], [[1]]).variances
    const steep = basisOf([0], [[1]], { elasticity: 1.2 }).variances
    expect(usual[0]).toBeCloseTo(9, 12)
    expect(usual[1]).toBeCloseTo(0.04 ** 2, 12)
    expect(usual[ABOVE]).toBeCloseTo(0.01 * 0.15, 12)
    expect(usual[HEAT]).toBeCloseTo(0.0009 ** 2, 15)
    expect(usual[LEVEL]).toBeCloseTo(0.012 ** 2, 12)
    expect(steep[1]! / usual[1]!).toBeCloseTo(4, 9)
    expect(steep[BELOW + 7]! / usual[BELOW + 7]!).toBeCloseTo(4, 9)
    expect(steep[HEAT]).toBe(usual[HEAT])
    expect(basisOf([0], [[1]], { elasticity: 0.2 }).variances).toEqual(usual)
  })
})

it('silicon never leaks less when hot', () => {
  const drawn = new Float64Array(20)
  expect(heatFromCoefficients(drawn)).toBe(HEAT_PER_K)
  drawn[HEAT] = -0.0005
  expect(heatFromCoefficients(drawn)).toBeCloseTo(0.0007, 12)
  drawn[HEAT] = -0.002
  expect(heatFromCoefficients(drawn)).toBe(0)
})

describe('a bend', () => {
  const room = { atReference: 0.5, above: (knot: number) => 0.4 - 0.1 * knot, below: () => 0.6 }
  const coefficients = (parts: Readonly<Record<number, number>>) =>
    Float64Array.from({ length: 20 }, (_, j) => parts[j] ?? 0)

  it('is what was drawn, where it leaves the rate rising', () => {
    const drawn = coefficients({ 1: 0.1, [ABOVE]: -0.2, [ABOVE + 1]: 0.05, [BELOW]: 0.3 })
    const { tilt, stepLn, above, below } = bendFromCoefficients(drawn, room)
    expect([tilt, stepLn]).toEqual([0.1, 0.15])
    expect(above.slice(0, 3)).toEqual([-0.2, 0.05, 0].map((step) => expect.closeTo(step, 12)))
    expect(below[0]).toBe(0.3)
    expect([above.length, below.length]).toEqual([8, 8])
  })

  it('is held back where the rate would fall with power', () => {
    expect(bendFromCoefficients(coefficients({ 1: -0.9 }), room).tilt).toBe(-0.5)
    const { above } = bendFromCoefficients(coefficients({ 1: -0.2, [ABOVE]: -0.5, [ABOVE + 1]: -0.5 }), room)
    // To -0.4 in the first step; the second has room for 0.3 only, which is passed already: it comes back up.
    expect(above[0]).toBeCloseTo(-0.2, 12)
    expect(above[1]).toBeCloseTo(0.1, 12)
  })

  it('has as much room as the curve’s lowest elasticity from knot to knot', () => {
    const curve = {
      shape: 'broken-power-law',
      scale: 1,
      referenceW: 60,
      topW: null,
      bend: null,
      steep: 1.5,
      gentle: 0.2,
      sharpness: 5,
      breakW: 60,
    } as const
    const { atReference, above, below } = bendRoom(curve)
    const elasticity = (t: number) => elasticityAt(curve, 60 * Math.exp(t))!
    expect(atReference).toBeCloseTo(elasticity(0), 12)
    // It falls with power: lowest at the upper end above the reference, at the nearer end below it.
    expect(above(0)).toBeCloseTo(elasticity(0.15), 9)
    expect(above(3)).toBeCloseTo(elasticity(0.6), 9)
    expect(above(7)).toBeCloseTo(elasticity(1.8), 9)
    expect(below(0)).toBeCloseTo(elasticity(0), 9)
    expect(below(3)).toBeCloseTo(elasticity(-0.45), 9)
  })
})
