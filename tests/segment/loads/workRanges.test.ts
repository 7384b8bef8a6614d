import { describe, expect, it } from 'vitest'
import type { PowerLevel } from '../../../src/segment/loads/powerLevels.js'
import { findWorkRanges } from '../../../src/segment/loads/workRanges.js'
import { traceOf } from '../makeSteps.js'

/** Power and so many samples of it. */
type Step = readonly [powerW: number, samples: number]

interface Case {
  /** Which of the steps are work, from and to. */
  readonly work: readonly (readonly [from: number, to: number])[]
  /** Samples that have another power than their step. */
  readonly but?: Readonly<Record<number, number>>
  readonly everyS?: number
}

/** From, to, idle before and after of each stretch of work. */
function rangesOf(steps: readonly Step[], { work, but = {}, everyS = 1 }: Case) {
  const powerW = Float64Array.from(
    steps.flatMap(([watts, samples]) => new Array<number>(samples).fill(watts)),
  )
  for (const [i, watts] of Object.entries(but)) powerW[Number(i)] = watts
  const timesS = powerW.map((_, i) => everyS * i)
  let at = 0
  const levels = steps.map(([levelW, samples]): PowerLevel => {
    at += samples
    return { from: at - samples, to: at, levelW, lengthS: samples * everyS, usePct: null, clockHz: null }
  })
  const activity = work.map(([from, to]) => ({ from, to }))
  const found = findWorkRanges(traceOf(timesS, powerW), levels, activity)
  return found.map(({ from, to, idleBeforeW, idleAfterW }) => [from, to, idleBeforeW, idleAfterW])
}

/** Idle at 6 W to sample 20, work at 60 W to sample 60, idle at 8 W. */
const PLAIN: readonly Step[] = [
  [6, 20],
  [60, 40],
  [8, 20],
]

describe('a stretch of work', () => {
  it('goes from edge to edge, between what is idle beside it', () => {
    expect(rangesOf(PLAIN, { work: [[1, 2]] })).toEqual([[20, 60, 6, 8]])
    expect(rangesOf(PLAIN.slice(1), { work: [[0, 1]] })).toEqual([[0, 40, null, 8]])
    expect(rangesOf(PLAIN.slice(0, 2), { work: [[1, 2]] })).toEqual([[20, 60, 6, null]])
    expect(rangesOf([[60, 40]], { work: [[0, 1]] })).toEqual([[0, 40, null, null]])
  })

  it('has of the two samples on either side those above the middle between work and the higher idle power', () => {
    const edges = (but: Case['but']) => rangesOf(PLAIN, { work: [[1, 2]], but: but! })[0]!.slice(0, 2)
    expect(edges({ 19: 34.1, 60: 34.1 })).toEqual([19, 61])
    expect(edges({ 19: 33.9, 60: 33.9 })).toEqual([20, 60])
    expect(edges({ 18: 50, 19: 50, 60: 50, 61: 50 })).toEqual([18, 62])
    expect(edges({ 17: 50, 18: 50, 19: 50, 60: 50, 61: 50, 62: 50 })).toEqual([18, 62])
    expect(edges({ 20: 20, 59: 20 })).toEqual([21, 59])
  })

  it('is cut where power falls below that, not where it is lower for a while', () => {
    const steps = (watts: number, samples: number): readonly Step[] => [
      [6, 20],
      [60, 60],
      [watts, samples],
      [60, 60],
      [6, 20],
    ]
    const work: Case['work'] = [[1, 4]]
    expect(rangesOf(steps(20, 5), { work })).toEqual([
      [20, 80, 6, 20],
      [85, 145, 20, 6],
    ])
    expect(rangesOf(steps(20, 7), { work })).toHaveLength(2)
    expect(rangesOf(steps(20, 8), { work })).toEqual([[20, 148, 6, 6]])
    expect(rangesOf(steps(20, 8), { work, everyS: 0.9 })).toHaveLength(2)
  })

  it('has beside a short pause its lowest power, beside a longer one its median', () => {
    const steps: readonly Step[] = [
      [6, 20],
      [60, 60],
      [20, 4],
      [60, 60],
      [6, 20],
    ]
    const but = { 80: 25, 81: 20, 82: 22, 83: 30 }
    expect(rangesOf(steps, { work: [[1, 4]], but }).map(([, , , after]) => after)).toEqual([20, 6])
    const longer = steps.map(([watts, samples]): Step => [watts, samples === 4 ? 5 : samples])
    expect(rangesOf(longer, { work: [[1, 4]], but: { ...but, 84: 28 } })[0]![3]).toBe(25)
  })

  it('whose pauses no level shows is cut at each, for samples at idle tell nothing of work', () => {
    const powers = Object.fromEntries([28, 29, 38, 39, 48, 49].map((i) => [i, 6]))
    expect(rangesOf(PLAIN, { work: [[1, 2]], but: powers }).map(([from, to]) => [from, to])).toEqual([
      [20, 28],
      [30, 38],
      [40, 48],
      [50, 60],
    ])
    // Nor do they make work of a sample that averages over an edge.
    expect(rangesOf(PLAIN, { work: [[1, 2]], but: { ...powers, 27: 20, 30: 20 } })[1]![0]).toBe(31)
  })
})

describe('idle beside work', () => {
  const idle = (steps: readonly Step[], more: Partial<Case> = {}) =>
    rangesOf(steps, { work: [[1, 2]], ...more })[0]!.slice(2)

  it('is the median of its last, or first, five seconds, but for the two samples nearest to work', () => {
    const before = Object.fromEntries(Array.from({ length: 16 }, (_, i) => [i, i < 12 ? 14 : 9]))
    expect(idle(PLAIN, { but: { ...before, 18: 20, 19: 20 } })).toEqual([9, 8])
    const after = Object.fromEntries(Array.from({ length: 16 }, (_, i) => [64 + i, i < 4 ? 9 : 14]))
    expect(idle(PLAIN, { but: { ...after, 60: 20, 61: 20 } })).toEqual([6, 9])
  })

  it('is told by three samples of a coarse log', () => {
    const but = { 15: 4, 16: 7, 17: 9, 14: 1, 13: 1, 62: 4, 63: 7, 64: 9, 65: 1, 66: 1 }
    expect(idle(PLAIN, { but, everyS: 10 })).toEqual([7, 7])
  })

  it('may be of a sample or two', () => {
    expect(idle([[6, 1], ...PLAIN.slice(1, 2), [8, 2]])).toEqual([6, 8])
    expect(idle([[6, 3], ...PLAIN.slice(1, 2), [8, 3]], { but: { 0: 5, 45: 9 } })).toEqual([5, 9])
  })
})

describe('stretches of work side by side', () => {
  const steps = (pause: Step, second: Step): readonly Step[] => [[6, 20], [60, 40], pause, second, [6, 20]]
  const work: Case['work'] = [
    [1, 2],
    [3, 4],
  ]

  it('have the idle power between them', () => {
    expect(rangesOf(steps([10, 20], [60, 40]), { work })).toEqual([
      [20, 60, 6, 10],
      [80, 120, 10, 6],
    ])
  })

  it('are one where the few samples between them are no nearer to idle than to work', () => {
    expect(rangesOf(steps([40, 4], [60, 40]), { work })).toEqual([[20, 104, 6, 6]])
    expect(rangesOf(steps([10, 4], [60, 40]), { work })).toEqual([
      [20, 60, 6, 10],
      [64, 104, 10, 6],
    ])
    expect(rangesOf(steps([40, 5], [60, 40]), { work })).toHaveLength(2)
  })

  it('a few samples apart are both work, whatever their power', () => {
    expect(rangesOf(steps([10, 4], [20, 30]), { work })).toEqual(
      [
        [20, 60, 6, 10],
        [64, 94, 10, 6],
      ].slice(0, 2),
    )
    expect(rangesOf(steps([10, 4], [30, 7]), { work }).map(([from, to]) => [from, to])).toEqual([
      [20, 60],
      [64, 71],
    ])
    const short: readonly Step[] = [
      [6, 20],
      [60, 100],
      [10, 4],
      [20, 8],
      [6, 20],
    ]
    expect(rangesOf(short, { work }).map(([from, to]) => [from, to])).toEqual([
      [20, 120],
      [124, 132],
    ])
  })
})
