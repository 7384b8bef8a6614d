import { describe, expect, it } from 'vitest'
import type { Stretch } from '../../../src/segment/cut/stretch.js'
import { measureCourse, measureLevel } from '../../../src/segment/stages/measureLevel.js'
import { stretchesOf } from '../makeRun.js'

const noise = { scale: 2, autocorrelation: 0, gridW: 0 }
/** Points of Student's t at 95 % for 11 degrees of freedom and of the normal distribution, from published tables. */
const T_11 = 1.795885
const Z = 1.644854

/** Stretches whose samples are these, one run each. */
function runsOf(...runs: readonly (readonly number[])[]): readonly Stretch[] {
  return runs.flatMap((powers, runIndex) => {
    const stretches = stretchesOf({
      parts: [[{ samples: powers.length, levelW: 0 }]],
      runIndex,
      startS: 100 * runIndex,
    })
    stretches[0]!.run.series.powerW.set(powers)
    return stretches
  })
}

/** The second part of a run, with these samples and an edge so soft. */
function afterEdge(powers: readonly number[], softS: number, errorS = 0): Stretch {
  const stretch = stretchesOf({
    parts: [[{ samples: 10, levelW: 130 }], [{ samples: powers.length, levelW: 0 }]],
    softS: [0, softS],
  })[1]!
  stretch.run.series.powerW.set(powers, 10)
  const { value } = stretch.edge!.startS
  const startS = { value, low: value - Z * errorS, high: value + Z * errorS, level: 0.9 }
  return { ...stretch, edge: { ...stretch.edge!, startS } }
}

describe('the level of a stage', () => {
  it('is the mean with an interval from its own scatter and, as eight samples more, the noise of the load', () => {
    const { value, low, high, level } = measureLevel(runsOf([98, 100, 102, 100]), noise)
    // (8 + 8 × 2²) / (4 - 1 + 8) = 40 / 11, 11 degrees of freedom.
    const half = T_11 * Math.sqrt(40 / 11 / 4)
    expect(value).toBe(100)
    expect(low).toBeCloseTo(100 - half, 5)
    expect(high).toBeCloseTo(100 + half, 5)
    expect(level).toBe(0.9)
  })

  it('is wider where neighbouring samples err alike: n (1 - p) / (1 + p) of them count', () => {
    // p = 1/2: 12 samples are worth 4, with the variance (24 + 32) / (11 + 8).
    const powers = [98, 100, 102, 100, 98, 100, 102, 100, 98, 100, 102, 100]
    const { value, high } = measureLevel(runsOf(powers), { ...noise, autocorrelation: 0.5 })
    expect(high - value).toBeCloseTo(T_11 * Math.sqrt(56 / 19 / 4), 5)
  })

  it('carries what rounding leaves in a mean', () => {
    const powers = [98, 98, 98, 98]
    const quiet = { scale: 0, autocorrelation: 0 }
    const rounded = measureLevel(runsOf(powers), { ...quiet, gridW: 1 })
    // Without noise: q / (pi sqrt 2), Widrow 1956.
    expect(rounded.high - 98).toBeCloseTo(Z / (Math.PI * Math.SQRT2), 6)
    // Without a grid that is seen the least difference of the values stands for it: none where all are equal.
    expect(measureLevel(runsOf(powers), { ...quiet, gridW: undefined }).high).toBe(98)
  })

  it('carries less of it where noise moves the samples across steps', () => {
    // Nine of 98 and one of 99 W: the variance 0.1 W² is 1/60 beyond that of rounding; t(0.95, 17) = 1.739607.
    const { value, high } = measureLevel(runsOf([98, 98, 98, 98, 98, 98, 98, 98, 98, 99]), {
      ...noise,
      scale: 0,
      gridW: 1,
    })
    const bias = Math.exp((-2 * Math.PI ** 2) / 60) / (Math.PI * Math.SQRT2)
    expect(high - value).toBeCloseTo(Math.hypot(1.739607 * Math.sqrt(0.9 / 17 / 10), Z * bias), 5)
  })

  it('takes all samples of the first run’s first stage, and those after the edge of any other', () => {
    expect(measureLevel([afterEdge([120, 110, 90, 90, 90, 90, 90, 90], 0.4)], noise).value).toBe(90)
    const first = runsOf([120, 110, 90, 90, 90, 90, 90, 90])
    expect(measureLevel(first, noise).value).toBe(96.25)
    // After a pause a run opens anew: five time constants of its approach are passed over.
    const [later] = stretchesOf({
      parts: [[{ samples: 20, levelW: 80, amplitudeW: 40, tauS: 2 }]],
      runIndex: 1,
    })
    later!.run.series.powerW.fill(80, 10)
    expect(measureLevel([later!], noise).value).toBe(80)
  })

  it('is that of all its samples where all of them are set aside', () => {
    const stretches = runsOf([98, 102])
    stretches[0]!.run.series.weights.fill(0)
    expect(measureLevel(stretches, noise).value).toBe(100)
    expect(measureCourse(stretches, noise).value).toBe(100)
  })

  it('leaves out the samples that are set aside, and joins runs', () => {
    const stretches = runsOf([98, 500, 102], [103, 105])
    stretches[0]!.run.series.weights[1] = 0
    expect(measureLevel(stretches, noise).value).toBe(102)
  })
})

describe('the mean of a course', () => {
  it('takes its opening with it, and the scatter about the course as its error', () => {
    const { value, low, high, level } = measureCourse([afterEdge([120, 110, 90, 80], 0.4)], noise)
    expect(value).toBe(100)
    expect(high - value).toBeCloseTo((Z * 2) / Math.sqrt(4), 5)
    expect(value - low).toBeCloseTo((Z * 2) / Math.sqrt(4), 5)
    expect(level).toBe(0.9)
  })

  it('ends with its part, and begins for certain where a run does', () => {
    const [first] = stretchesOf({ parts: [[{ samples: 4, levelW: 100 }], [{ samples: 10, levelW: 50 }]] })
    expect(measureCourse([first!], noise)).toMatchObject({ value: 100 })
    expect(measureCourse([first!], { ...noise, scale: 0 })).toMatchObject({ low: 100, high: 100 })
  })

  it('is wider where neighbouring samples err alike, and by what its beginning is off by', () => {
    const correlated = { ...noise, autocorrelation: 0.5 }
    const stretch = afterEdge([120, 110, 90, 80], 0.4, 0.5)
    const { value, high } = measureCourse([stretch], correlated)
    // Half a second of 130 - 100 W more or less, over the 3 s of the stretch.
    expect(stretch.endS - stretch.startS).toBe(3)
    expect(high - value).toBeCloseTo(Z * Math.hypot(2 * Math.sqrt(3 / 4), (30 * 0.5) / 3), 5)
  })

  it('leaves out the samples that are set aside', () => {
    const stretch = afterEdge([120, 500, 90, 90], 0)
    stretch.run.series.weights[11] = 0
    expect(measureCourse([stretch], noise).value).toBe(100)
  })

  it('has the error of the edge even where the stage is shorter than that', () => {
    const stretch = { ...afterEdge([100, 100], 0, 2), endS: 10.5 }
    // |130 - 100| × 2 s over 2 s, not over half a second.
    expect(measureCourse([stretch], { ...noise, scale: 0 }).high).toBeCloseTo(100 + Z * 30, 4)
  })
})
