import { describe, expect, it } from 'vitest'
import { findSpans, findWork } from '../../../src/segment/loads/findSpans.js'
import { makeSteps, traceOf } from '../makeSteps.js'

type Levels = Parameters<typeof makeSteps>[0]['levels']

/** Loads of a staircase as whole seconds and numbers of runs. */
function loadsOf(levels: Levels, noiseW = 0.4, seed = 1): readonly (readonly number[])[] {
  return findSpans(makeSteps({ levels, noiseW, seed })).map(({ from, to, runs }) => [from, to, runs.length])
}

describe('idle as it is', () => {
  it('may shift: a machine that stays awake after a load and falls asleep later does no work', () => {
    const levels: Levels = [
      [2.4, 45],
      [71, 40],
      [9, 60],
      [7.5, 80],
      [2.4, 60],
      [60, 200],
      [9, 40],
    ]
    expect(loadsOf(levels)).toEqual([
      [45, 85, 1],
      [285, 485, 1],
    ])
  })

  it('may lie above half of work, as at the wall', () => {
    const levels: Levels = [
      [3, 14],
      [3.7, 20],
      [5.8, 600],
      [3, 12],
    ]
    expect(loadsOf(levels, 0.04)).toEqual([[34, 634, 1]])
  })

  it('may blip: work that is over within seconds is no load, between loads, before one or beside it', () => {
    const levels: Levels = [
      [76, 7],
      [132, 10],
      [620, 2],
      [132, 3],
      [690, 90],
      [132, 25],
      [240, 4],
      [132, 30],
      [520, 40],
      [132, 20],
    ]
    expect(loadsOf(levels, 2)).toEqual([
      [22, 112, 1],
      [171, 211, 1],
    ])
  })

  it('may step up for good when a driver wakes', () => {
    const levels: Levels = [
      [76, 30],
      [132, 40],
      [650, 150],
      [132, 60],
    ]
    expect(loadsOf(levels, 2)).toEqual([[70, 220, 1]])
  })
})

describe('weak loads beside strong ones', () => {
  it('are found between them, each with its own edges', () => {
    const levels: Levels = [
      [3, 40],
      [71, 55],
      [6, 30],
      [12, 230],
      [5, 10],
      [22, 200],
      [6, 40],
      [3, 60],
    ]
    expect(loadsOf(levels, 0.6)).toEqual([
      [40, 95, 1],
      [125, 355, 1],
      [365, 565, 1],
    ])
  })

  it('are left alone when they are short: a job of the background', () => {
    const levels: Levels = [
      [5, 60],
      [14, 12],
      [5, 50],
      [80, 300],
      [5, 40],
    ]
    expect(loadsOf(levels)).toEqual([[122, 422, 1]])
  })
})

describe('short loads beside a long one', () => {
  const beside = (watts: number, forS: number) =>
    loadsOf([
      [5, 60],
      [watts, forS],
      [5, 50],
      [80, 300],
      [5, 40],
    ]).length

  it('are loads where they rise above idle by three tenths of what it does, or last for 20 s', () => {
    expect([80, 31, 25].map((watts) => beside(watts, 12))).toEqual([2, 2, 1])
    expect([18, 22].map((forS) => beside(20, forS))).toEqual([1, 2])
    expect([7, 9].map((forS) => beside(80, forS))).toEqual([1, 2])
  })

  it('are one, the longest, where a log has nothing else', () => {
    const levels: Levels = [
      [5, 40],
      [90, 4],
      [5, 60],
      [55, 6],
      [5, 40],
    ]
    expect(loadsOf(levels)).toEqual([[104, 110, 1]])
  })
})

describe('stages of one load', () => {
  it('stay with it, however low they lie against its burst', () => {
    const levels: Levels = [
      [5, 40],
      [150, 30],
      [55, 300],
      [5, 40],
    ]
    expect(loadsOf(levels)).toEqual([[40, 370, 1]])
  })

  it('stay with it when a mode is lowered and raised again', () => {
    const levels: Levels = [
      [3, 30],
      [60, 300],
      [5, 40],
      [41, 70],
      [28, 40],
      [41, 60],
      [36, 100],
      [5, 30],
    ]
    expect(loadsOf(levels)).toEqual([
      [30, 330, 1],
      [370, 640, 1],
    ])
  })

  it('stay with it when a task alternates between two levels', () => {
    const levels: Levels = [
      [16.8, 44],
      [32.3, 85],
      [30.2, 170],
      [32.3, 6],
      [30.2, 70],
      [32.3, 10],
      [30.2, 250],
      [16.8, 12],
    ]
    expect(loadsOf(levels, 0.3)).toEqual([[44, 635, 1]])
  })
})

describe('rounds of a loop', () => {
  const round = (watts: number, forS: number, pauseS: number): Levels => [
    [watts, forS],
    [6, pauseS],
  ]

  it('are one load when lengths, powers and pauses are alike, whatever the pause', () => {
    for (const pauseS of [4, 20, 45, 90]) {
      const levels: Levels = [
        [6, 30],
        ...[60, 62, 61, 60].flatMap((forS) => round(80, forS, pauseS)),
        [6, 40],
      ]
      expect(loadsOf(levels).map(([, , runs]) => runs)).toEqual([4])
    }
  })

  it('are one load when fixed work takes longer from round to round, and the last is broken off', () => {
    const levels: Levels = [
      [6, 30],
      ...round(100, 40, 6),
      ...[48, 55, 56, 56, 20].flatMap(
        (forS): Levels => [
          [100, 8],
          [66, forS - 8],
          [6, 6],
        ],
      ),
      [6, 40],
    ]
    expect(loadsOf(levels).map(([, , runs]) => runs)).toEqual([6])
  })

  it('are told from a load before them that is of another kind, however near it is', () => {
    const levels: Levels = [
      [6, 30],
      [45, 200],
      [6, 8],
      ...[50, 50, 51, 50].flatMap((forS) => round(90, forS, 8)),
      [6, 40],
    ]
    expect(loadsOf(levels).map(([, , runs]) => runs)).toEqual([1, 4])
  })

  it('are told from neighbours of other lengths with other pauses', () => {
    const levels: Levels = [
      [6, 30],
      [80, 40],
      [6, 60],
      [80, 300],
      [6, 25],
      [80, 120],
      [6, 40],
    ]
    expect(loadsOf(levels)).toHaveLength(3)
  })
})

describe('logs at their edges', () => {
  it('a log without power has no loads, and one of idle alone one at most', () => {
    expect(findSpans(traceOf(Float64Array.of(0, 1, 2), new Float64Array(3)))).toEqual([])
    expect(loadsOf([[6, 300]]).length).toBeLessThanOrEqual(1)
  })

  it('a short load that is all there is in a log is still a load', () => {
    expect(
      loadsOf([
        [5, 30],
        [60, 6],
        [5, 30],
      ]),
    ).toEqual([[30, 36, 1]])
  })
})

describe('a load that its samples do not follow', () => {
  const LOOP: Levels = [
    [5, 30],
    [60, 40],
    [5, 6],
    [60, 40],
    [5, 6],
    [60, 40],
    [5, 6],
    [60, 40],
    [5, 30],
  ]
  const runsOf = (unresolved: readonly number[]) => {
    const trace = makeSteps({ levels: LOOP, noiseW: 0.4 })
    const work = findWork(trace).map((range, k) =>
      unresolved.includes(k) ? { ...range, unresolved: true as const } : range,
    )
    expect(work).toHaveLength(4)
    const [span, ...others] = findSpans(trace, work)
    expect(others).toEqual([])
    return { span: span!, work }
  }

  it('for most of its work has one run, from its first to its last sample', () => {
    const { span, work } = runsOf([0, 1, 3])
    expect(span.runs).toEqual([
      {
        from: work[0]!.from,
        to: work[3]!.to,
        idleBeforeW: work[0]!.idleBeforeW,
        idleAfterW: work[3]!.idleAfterW,
        unresolved: true,
      },
    ])
  })

  it('for half of it, or less, keeps its runs', () => {
    expect(runsOf([0, 1]).span.runs).toHaveLength(4)
    expect(runsOf([2]).span.runs).toHaveLength(4)
    expect(runsOf([]).span.runs.map(({ unresolved }) => unresolved)).toEqual([
      undefined,
      undefined,
      undefined,
      undefined,
    ])
  })
})
