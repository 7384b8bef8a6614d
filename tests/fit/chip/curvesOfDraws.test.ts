import { describe, expect, it } from 'vitest'
import { curvesOfDraws, extraTilt } from '../../../src/fit/chip/curvesOfDraws.js'
import { packageCurve } from '../../../src/fit/chip/prior/packageCurve.js'
import type { VoltageFloor } from '../../../src/physics/chip/scoreCurve.js'

const curve = packageCurve(new Array<number>(8).fill(0.5), 60, null)
const draw = (logScale: number, tilt = 0) => ({
  candidate: 0,
  curve,
  logScale,
  coefficients: Float64Array.from({ length: 20 }, (_, j) => (j === 1 ? tilt : 0)),
  residuals: new Float64Array(1),
})
/** What a drawn curve has beside its shape. */
type Drawn = VoltageFloor & { readonly bend: { readonly tilt: number } }

const drawnWith = (more: {
  readonly demandW: number | null
  readonly possibleDemandW?: number | null
  readonly extraTilt: number
}) => curvesOfDraws(draws, { highestW: 80, possibleDemandW: null, ...more }) as readonly Drawn[]

const draws = Array.from({ length: 400 }, () => draw(Math.log(200), 0.05))

describe('curves of posterior draws', () => {
  it('have the scale and the bend that were drawn', () => {
    const [first] = drawnWith({ demandW: null, extraTilt: 0 })
    expect(first!.scale).toBeCloseTo(200, 9)
    expect(first!.bend.tilt).toBe(0.05)
  })

  it('are flat above what the task asks for', () => {
    const tops = drawnWith({ demandW: 70, extraTilt: 0 }).map(({ topW }) => topW)
    expect(new Set(tops)).toEqual(new Set([70]))
  })

  it('are flat in half of them above what the task may ask for at most', () => {
    const tops = drawnWith({ demandW: null, possibleDemandW: 60, extraTilt: 0 }).map(({ topW }) => topW)
    const flat = tops.filter((topW) => topW === 60)
    expect(flat.length / tops.length).toBeGreaterThan(0.48)
    expect(flat.length / tops.length).toBeLessThan(0.52)
    const known = drawnWith({ demandW: 70, possibleDemandW: 60, extraTilt: 0 }).map(({ topW }) => topW)
    expect(new Set(known)).toEqual(new Set([70]))
  })

  it('go through the prior’s shares of a top in a scattered order', () => {
    const tops = drawnWith({ demandW: null, extraTilt: 0 }).map(({ topW }) => topW)
    // Without a steep end 1 - exp(-0.25 × 1.5) = 31 % have one within reach.
    const known = tops.filter((topW): topW is number => topW !== null)
    expect(known.length / tops.length).toBeGreaterThan(0.28)
    expect(known.every((topW) => topW >= 80)).toBe(true)
    expect(known).not.toEqual([...known].sort((a, b) => a - b))
  })

  it('have a further tilt where a simple form does better: normal, with that deviation', () => {
    const curves = drawnWith({ demandW: null, extraTilt: 0.02 })
    const tilts = curves.map((one) => one.bend.tilt)
    const mean = tilts.reduce((sum, tilt) => sum + tilt, 0) / tilts.length
    const deviation = Math.sqrt(tilts.reduce((sum, tilt) => sum + (tilt - mean) ** 2, 0) / tilts.length)
    expect(mean).toBeCloseTo(0.05, 3)
    expect(deviation).toBeCloseTo(0.02, 3)
    // What was drawn stays as it was.
    expect(draws[0]!.coefficients[1]).toBe(0.05)
  })
})

it('the further tilt has the form’s advantage at the ends of the measured range', () => {
  const criticism = { levels: 6, leftOut: 6, missPct: 5, forms: [{ form: 'power law' as const, missPct: 3 }] }
  // sqrt(5² - 3²) = 4 %, over half of ln 4.
  expect(extraTilt(criticism, [20, 80])).toBeCloseTo(0.04 / Math.log(2), 9)
  expect(extraTilt({ ...criticism, missPct: 3.2 }, [20, 80])).toBe(0)
  expect(extraTilt(null, [20, 80])).toBe(0)
})
