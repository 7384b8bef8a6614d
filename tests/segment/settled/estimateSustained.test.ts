import { describe, expect, it } from 'vitest'
import { estimateSustained } from '../../../src/segment/settled/estimateSustained.js'
import { lowestAfterFall } from '../../../src/segment/settled/tooShort.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { type Course, draftsOf, type RunOptions, stretchesOf } from '../makeRun.js'

const Z = 1.644854
const noise = { scale: 0.2, autocorrelation: 0, gridW: undefined }
const open = { loadStartS: 0, proven: null, heldW: 80, fallsSteadily: false }

const level = (samples: number, levelW: number): readonly Course[] => [{ samples, levelW }]
const fall = (samples: number, fromW: number, levelW: number, tauS: number): readonly Course[] => [
  { samples, levelW, amplitudeW: fromW - levelW, tauS },
]
const settled = (
  shapes: readonly DraftStage['shape'][],
  parts: RunOptions['parts'],
  context: Parameters<typeof estimateSustained>[2] = open,
) => estimateSustained(draftsOf(shapes, { parts }), noise, context)

describe('a level', () => {
  it('is sustained when it was watched for long enough', () => {
    const { sustained, asymptote } = settled(['level'], [level(401, 80)])
    expect(sustained).toMatchObject({ reached: true, fromS: 0, bounds: null })
    expect(sustained.levelW).toEqual(asymptote.towardW)
    expect(sustained.levelW.value).toBeCloseTo(80, 1)
    expect(sustained.levelW.low).toBeLessThan(80)
    expect(sustained.levelW.high).toBeGreaterThan(80)
    expect(sustained.levelW.high - sustained.levelW.low).toBeLessThan(1)
  })

  it('is not yet when its load ended sooner: then floor and ceiling say what it may come to', () => {
    const { sustained, asymptote } = settled(['level'], [level(201, 80)])
    const { low, high } = sustained.levelW
    expect(sustained).toMatchObject({ reached: false, fromS: null, settleAfterS: null })
    expect(sustained.bounds).toEqual({ floorW: low, ceilingW: high })
    // Seven of ten first levels drop, half of those drops come within 40 s, and these leave 0.75 of the level: tooShort.ts.
    const late = 0.7 / (1 + (200 / 40) ** 1.5)
    const drops = late / (0.3 + late)
    expect(sustained.levelW.value).toBeCloseTo((1 - 0.25 * drops) * asymptote.towardW.value, 9)
  })

  it('is surer to stay where it is what the task asks for and the log shows more to be held', () => {
    const short = { ...open, proven: 'demand' as const }
    const floorOf = (context: typeof short) =>
      settled(['level'], [level(61, 80)], context).sustained.levelW.low
    expect(floorOf({ ...short, heldW: 90 })).toBeGreaterThan(1.2 * floorOf({ ...short, heldW: 88 }))
    expect(settled(['level'], [level(61, 80)], { ...open, heldW: 90 }).sustained.levelW.low).toBeCloseTo(
      floorOf({ ...short, heldW: 88 }),
      9,
    )
  })

  it('is after two minutes where columns prove the cause', () => {
    const proven = { ...open, proven: 'power-limit' as const }
    expect(settled(['level'], [level(131, 80)], proven).sustained.reached).toBe(true)
    expect(settled(['level'], [level(131, 80)]).sustained.reached).toBe(false)
  })

  it('counts what came before from the load’s start', () => {
    const parts = [level(50, 80), level(200, 81)]
    expect(settled(['level', 'level'], parts).sustained.reached).toBe(false)
    expect(settled(['level', 'level'], parts, { ...open, loadStartS: -200 }).sustained.reached).toBe(true)
  })

  it('that drifts heads further than one that a limit holds', () => {
    // The prior of a level alone leaves more to a drift than that of one after a drop.
    const drift = [{ samples: 400, levelW: 82, amplitudeW: -2, tauS: 300 }]
    const alone = settled(['level'], [drift]).asymptote.towardW
    const after = settled(['level', 'level'], [level(100, 100), drift]).asymptote.towardW
    expect(alone.value).toBeGreaterThan(80.9)
    expect(alone.high).toBeGreaterThan(after.high)
  })

  it('carries what rounding to a grid leaves', () => {
    const drafts = draftsOf(['level'], { parts: [level(401, 80)] })
    const quiet = { ...noise, scale: 0.1 }
    const plain = estimateSustained(drafts, quiet, open).sustained.levelW
    const coarse = estimateSustained(drafts, { ...quiet, gridW: 1 }, open).sustained.levelW
    // Widrow: q / (pi sqrt 2), for noise below q / sqrt(12).
    const bias = Z / (Math.PI * Math.SQRT2)
    expect(coarse.value).toBe(plain.value)
    expect(coarse.high - coarse.value).toBeCloseTo(Math.hypot(plain.high - plain.value, bias), 6)
    expect(coarse.value - coarse.low).toBeCloseTo(Math.hypot(plain.value - plain.low, bias), 6)
  })

  it('is no less than nothing', () => {
    const { low } = estimateSustained(
      draftsOf(['level'], { parts: [level(401, 0.1)] }),
      { scale: 1, autocorrelation: 0.9, gridW: 2 },
      open,
    ).sustained.levelW
    expect(low).toBe(0)
  })
})

describe('a fall', () => {
  it('has settled when it is over', () => {
    const { sustained } = settled(['decay'], [fall(301, 120, 80, 30)])
    expect(sustained.reached).toBe(true)
    expect(sustained.levelW.value).toBeCloseTo(80, 0)
    // 30 ln(40 / 1.6) = 96.6 s.
    expect(sustained.fromS).toBeGreaterThan(90)
    expect(sustained.fromS).toBeLessThan(100)
  })

  it('has not within 150 s, before three time constants, nor while its last third still falls', () => {
    expect(settled(['decay'], [fall(150, 120, 80, 15)]).sustained.reached).toBe(false)
    expect(settled(['decay'], [fall(151, 120, 80, 15)]).sustained.reached).toBe(true)
    expect(settled(['decay'], [fall(301, 120, 80, 120)]).sustained.reached).toBe(false)
  })

  it('may end with its load where the task asks for less and less: its interval reaches up to the last power', () => {
    const course = [fall(100, 120, -60, 400)]
    const endW = -60 + 180 * Math.exp(-99 / 400)
    const heat = settled(['decay'], course).sustained.levelW
    const task = settled(['decay'], course, { ...open, fallsSteadily: true }).sustained.levelW
    expect(heat.high).toBeLessThan(0.97 * endW)
    expect(task.high).toBeCloseTo(endW, 0)
    expect(task.low).toBe(heat.low)
  })

  it('that may end with its load stands no surer than the samples of its last third tell', () => {
    const drafts = draftsOf(['decay'], { parts: [fall(60, 120, -60, 400)] })
    const highOf = (scale: number) =>
      estimateSustained(drafts, { ...noise, scale }, { ...open, fallsSteadily: true }).sustained.levelW.high
    const endW = -60 + 180 * Math.exp(-59 / 400)
    expect(highOf(8)).toBeCloseTo(endW + (Z * 8) / Math.sqrt(20), 4)
    expect(highOf(4)).toBeCloseTo(endW + (Z * 4) / Math.sqrt(20), 4)
  })

  it('has not while its last third falls by more than 1.5 % and two errors of that', () => {
    // From 200 to 300 s: 40 (exp(-200/55) - exp(-300/55)) = 0.88 W, with 65 s 1.45 W; 1.5 % of 80 W are 1.2 W.
    const reached = (tauS: number, more: Partial<typeof noise> = {}) =>
      estimateSustained(
        draftsOf(['decay'], { parts: [fall(301, 120, 80, tauS)] }),
        { ...noise, ...more },
        open,
      ).sustained.reached
    expect(reached(55)).toBe(true)
    expect(reached(65)).toBe(false)
    // Of two means of 100 samples: 2 × 2 × sqrt(2/100) = 0.57 W.
    expect(reached(65, { scale: 2 })).toBe(true)
    expect(reached(65, { scale: 1, autocorrelation: 0.6 })).toBe(true)
    expect(reached(65, { scale: 0.5 })).toBe(false)
  })

  it('has before three time constants only where its level is known to 2 %, after them to 5 %', () => {
    const reached = (samples: number, scale: number) => {
      const drafts = draftsOf(['decay'], { parts: [fall(samples, 88, 80, 60)] })
      const { sustained, asymptote } = estimateSustained(drafts, { ...noise, scale }, open)
      const halfShare = (asymptote.towardW.high - asymptote.towardW.low) / 2 / asymptote.towardW.value
      return [sustained.reached, Math.round(1000 * halfShare) / 10] as const
    }
    const [sure, sureShare] = reached(171, 0.2)
    expect([sure, sureShare < 2]).toEqual([true, true])
    const [open2, openShare] = reached(171, 3)
    expect([open2, openShare > 2]).toEqual([false, true])
  })

  it('that has not ended may go on: 12 % of the fall so far, less with each three of its time constants', () => {
    const { sustained, asymptote } = settled(['decay'], [fall(101, 120, 80, 60)])
    const { towardW, tauS } = asymptote
    const endW = 80 + 40 * Math.exp(-100 / 60)
    const unseenW = 0.12 * (120 - endW) * Math.exp(-100 / (3 * tauS.value))
    // What is still to come is known to a fifth, and another drop may follow it: tooShort.ts.
    const half = Math.hypot((towardW.high - towardW.low) / 2, Z * unseenW, Z * 0.2 * (endW - towardW.value))
    expect(sustained).toMatchObject({ reached: false, fromS: null, settleAfterS: null, bounds: null })
    expect(sustained.levelW.value).toBeCloseTo(towardW.value - unseenW, 9)
    expect(sustained.levelW.low).toBeCloseTo((towardW.value - unseenW - half) * lowestAfterFall(100), 5)
    expect(sustained.levelW.high).toBeCloseTo(Math.min(towardW.value - unseenW + half, endW), 5)
  })

  it('counts from what came before its edge', () => {
    const { sustained, asymptote } = settled(['level', 'decay'], [level(60, 140), fall(101, 120, 80, 60)])
    const endW = 80 + 40 * Math.exp(-100 / 60)
    const unseenW = 0.12 * (140 - endW) * Math.exp(-100 / (3 * asymptote.tauS.value))
    expect(sustained.levelW.value).toBeCloseTo(asymptote.towardW.value - unseenW, 9)
  })
})

describe('a rise', () => {
  it('that has not ended comes to somewhere between here and where it tends to', () => {
    const { sustained, asymptote } = settled(['rise'], [fall(301, 60, 100, 120)])
    const { towardW } = asymptote
    const endW = 100 - 40 * Math.exp(-300 / 120)
    const leftW = towardW.value - endW
    expect(sustained.reached).toBe(false)
    expect(leftW).toBeGreaterThan(1)
    expect(sustained.levelW.value).toBeCloseTo(endW + leftW / 2, 9)
    expect(sustained.levelW.low).toBeCloseTo(Math.min(towardW.low, endW + 0.1 * leftW), 9)
    expect(sustained.levelW.high).toBeCloseTo(Math.max(towardW.high, endW + leftW), 9)
  })

  it('has settled when its late course is steady', () => {
    expect(settled(['rise'], [fall(401, 60, 100, 30)]).sustained.reached).toBe(true)
  })
})

describe('a loop that heat holds', () => {
  const loop = (...ends: readonly number[]): readonly DraftStage[] => [
    {
      shape: 'decay',
      stretches: ends.flatMap((levelW, runIndex) =>
        stretchesOf({ parts: [fall(61, levelW + 20, levelW, 8)], startS: 80 * runIndex, runIndex }),
      ),
    },
  ]

  it('comes to the middle between its last end and what its last three runs tend to', () => {
    const { sustained, asymptote } = estimateSustained(loop(84, 82, 81, 80.5), noise, open)
    const endW = 80.5 + 20 * Math.exp(-60 / 8)
    const { value, low, high } = asymptote.towardW
    const half = Math.hypot((high - low) / 2, (value - endW) / 2, 0.02 * endW)
    expect(sustained.levelW.value).toBeCloseTo((value + endW) / 2, 9)
    expect(sustained.levelW.high - sustained.levelW.value).toBeCloseTo(half, 3)
    expect(sustained.levelW.value - sustained.levelW.low).toBeCloseTo(half, 3)
    expect(value).toBeGreaterThan(80.2)
    expect(value).toBeLessThan(82)
  })

  it('has settled when three ends in a row lie within 1.5 %', () => {
    const reached = (...ends: readonly number[]) => estimateSustained(loop(...ends), noise, open).sustained
    expect(reached(90, 81.1, 80.5, 80)).toMatchObject({ reached: true, bounds: null })
    expect(reached(90, 81.3, 80.5, 80)).toMatchObject({ reached: false, fromS: null, settleAfterS: null })
    expect(reached(80, 80)).toMatchObject({ reached: false })
    // From the last end that lies outside of 2 %, the first run's.
    expect(reached(90, 81.1, 80.5, 80).fromS).toBe(60)
    expect(reached(90, 81.1, 80.5, 80).settleAfterS!.value).toBe(60)
  })
})
