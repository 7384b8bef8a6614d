import { describe, expect, it } from 'vitest'
import type { Estimate } from '../../src/numeric/statistics/estimate.js'
import { describeStage } from '../../src/segment/describeStage.js'
import type { DraftStage } from '../../src/segment/stages/draftStage.js'
import { type Course, draftsOf } from './makeRun.js'
import { traceOf } from './makeSteps.js'

const noise = { scale: 0.5, autocorrelation: 0, gridW: 0 }
const at = (value: number): Estimate => ({ value, low: value - 1, high: value + 1, level: 0.9 })
const level = (samples: number, levelW: number): Course => ({ samples, levelW })
const fall: Course = { samples: 120, levelW: 80, amplitudeW: 40, tauS: 30 }

interface Case {
  readonly reached?: boolean
  /** Time constant that was fitted to the last stage, s. */
  readonly tauS?: number
}

/** The stages of a load from 9.5 s on, as they are told; of the last one was told where it heads: to 77 W. */
function told(shapes: readonly DraftStage['shape'][], courses: readonly Course[], more: Case = {}) {
  const drafts = draftsOf(shapes, { parts: courses.map((course) => [course]), startS: 10 })
  const { timesS, powerW } = drafts[0]!.stretches[0]!.run.series
  const { reached = false, tauS = 25 } = more
  const sustained = { reached, levelW: at(80), fromS: null, settleAfterS: null, bounds: null }
  return drafts.map((draft, index) =>
    describeStage(traceOf(timesS, powerW), drafts, index, {
      log: { highestClockHz: null, heldW: 0, namesLimit: false },
      noise,
      settled: { sustained, asymptote: { towardW: at(77), tauS: at(tauS) } },
      settledIndex: drafts.length - 1,
      draft,
      bounds: { startS: 9.5, endS: 400 },
    }),
  )
}

const labels = (levels: readonly number[], reached = false) =>
  told(
    levels.map(() => 'level'),
    levels.map((watts) => level(60, watts)),
    { reached },
  ).map(({ label }) => label)

describe('a stage as it is told', () => {
  it('goes from its edge to the next, the first and the last with the load', () => {
    const spans = told(['level', 'level', 'level'], [level(20, 120), level(30, 100), level(50, 80)])
    expect(spans.map(({ startS, endS }) => [startS, endS])).toEqual([
      [9.5, 30],
      [30, 60],
      [60, 400],
    ])
    expect(spans.map(({ startInterval }) => startInterval?.value)).toEqual([undefined, 30, 60])
    expect(spans[0]!.startInterval).toBeNull()
  })

  it('is a burst where power falls from it, sustained where it settled, short-term else', () => {
    expect(labels([120, 100, 80], true)).toEqual(['burst', 'short-term', 'sustained'])
    expect(labels([120, 100, 80])).toEqual(['burst', 'short-term', 'short-term'])
    expect(labels([80])).toEqual(['short-term'])
    expect(labels([80], true)).toEqual(['sustained'])
    // A step up of 5 % is a rise.
    expect(labels([100, 106, 80])[0]).toBe('short-term')
    expect(labels([100, 104, 80])[0]).toBe('burst')
  })

  it('that falls or rises has a course: from where it began to where it heads', () => {
    const [burst, falls] = told(['level', 'decay'], [level(20, 125), fall])
    expect(burst).toMatchObject({ shape: 'level', decay: null })
    // After an edge it begins with what was before.
    expect(falls).toMatchObject({ shape: 'decay', decay: { fromW: 125, towardW: at(77), tauS: at(25) } })
    // The fall itself is no error of its mean.
    expect(falls!.levelW.high - falls!.levelW.low).toBeLessThan(0.5)
    expect(told(['decay'], [fall])[0]!.decay!.fromW).toBeCloseTo(120, 9)
    const rise = { samples: 120, levelW: 110, amplitudeW: -30, tauS: 40 }
    expect(told(['level', 'rise'], [level(20, 90), rise])[1]!.decay!.fromW).toBeCloseTo(80, 9)
  })

  it('that was not the one settled by has a course of its own', () => {
    const [first, last] = told(['decay', 'decay'], [fall, { ...fall, levelW: 40 }])
    expect(first!.decay!.towardW.value).toBeCloseTo(80, 0)
    expect(first!.decay!.tauS.value / 30).toBeCloseTo(1, 1)
    expect(last!.decay!.towardW).toEqual(at(77))
  })

  it('has no course where no time constant fits: its level is told with its scatter', () => {
    const [stage] = told(['decay'], [fall], { tauS: 0 })
    expect(stage).toMatchObject({ shape: 'level', decay: null })
    expect(stage!.levelW.high - stage!.levelW.low).toBeGreaterThan(2)
  })
})
