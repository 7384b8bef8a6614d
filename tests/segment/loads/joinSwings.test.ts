import { describe, expect, it } from 'vitest'
import { joinSwings } from '../../../src/segment/loads/joinSwings.js'
import type { WorkRange } from '../../../src/segment/loads/workRanges.js'
import { traceOf } from '../makeSteps.js'

interface Shape {
  readonly work?: readonly number[]
  readonly gaps?: readonly number[]
  /** Power of each stretch of work, and of each gap, W. */
  readonly worksW?: readonly number[]
  readonly gapsW?: readonly number[]
  readonly idleW?: number | null
}

/** How work of so many samples, one a second, with gaps between is joined: where each stretch begins and ends. */
function joined({
  work = [100, 40, 40, 40, 40],
  gaps = work.slice(1).map(() => 20),
  worksW = work.map(() => 50),
  gapsW = gaps.map(() => 25),
  idleW = 5,
}: Shape) {
  const watts: number[] = [5, 5, 5]
  const ranges: WorkRange[] = []
  work.forEach((samples, k) => {
    const from = watts.length
    for (let i = 0; i < samples; i++) watts.push(worksW[k]!)
    ranges.push({
      from,
      to: watts.length,
      idleBeforeW: k === 0 ? idleW : gapsW[k - 1]!,
      idleAfterW: gapsW[k] ?? 5,
    })
    if (k < gaps.length) for (let i = 0; i < gaps[k]!; i++) watts.push(gapsW[k]!)
  })
  watts.push(5, 5, 5)
  const powerW = Float64Array.from(watts)
  return joinSwings(
    traceOf(
      powerW.map((_, i) => i),
      powerW,
    ),
    ranges,
  )
}

describe('work with busy gaps in it', () => {
  it('is one where the first stretch lasts half as long again as the later ones: a chassis had to warm up', () => {
    expect(joined({})).toEqual([{ from: 3, to: 3 + 260 + 80, idleBeforeW: 5, idleAfterW: 5 }])
    expect(joined({ work: [60, 40, 40, 40, 40] })).toHaveLength(1)
    expect(joined({ work: [59, 40, 40, 40, 40] })).toHaveLength(5)
  })

  it('has more than three gaps, or as many', () => {
    expect(joined({ work: [100, 40, 40, 40] })).toHaveLength(1)
    expect(joined({ work: [100, 40, 40] })).toHaveLength(3)
    expect(joined({ work: [100] })).toHaveLength(1)
  })

  it('has gaps clear of idle, by 15 % of the rise', () => {
    expect(joined({ gapsW: [11.8, 11.8, 11.8, 11.8] })).toHaveLength(1)
    expect(joined({ gapsW: [11.7, 11.7, 11.7, 11.7] })).toHaveLength(5)
    expect(joined({ idleW: null })).toHaveLength(5)
  })

  it('has gaps at one level, and work at one level, to 15 % of the rise', () => {
    expect(joined({ gapsW: [25, 25, 31.7, 25] })).toHaveLength(1)
    expect(joined({ gapsW: [25, 25, 31.8, 25] })).toHaveLength(5)
    expect(joined({ gapsW: [25, 25, 18.2, 25] })).toHaveLength(5)
    expect(joined({ worksW: [50, 50, 50, 50, 43.3] })).toHaveLength(1)
    // The last is another task; the others are a swing without it.
    expect(joined({ worksW: [50, 50, 50, 50, 43.2] })).toHaveLength(2)
    expect(joined({ worksW: [50, 50, 50, 50, 56.8] })).toHaveLength(2)
  })

  it('has no gap of more than twice the usual', () => {
    expect(joined({ gaps: [20, 20, 41, 20] })).toHaveLength(1)
    expect(joined({ gaps: [20, 20, 42, 20] })).toHaveLength(5)
  })

  it('is a loop where work and gaps are alike', () => {
    // Work that is no shorter than the gaps, its first stretch no more than e^0.25 longer: never half as long again.
    expect(joined({ work: [50, 40, 40, 40, 40] })).toHaveLength(5)
  })

  it('stands beside other work, which stays', () => {
    const both = joined({
      work: [30, 100, 40, 40, 40],
      gaps: [20, 20, 20, 20],
      gapsW: [5, 25, 25, 25],
    })
    expect(both.map(({ from, to }) => to - from)).toEqual([30, 280])
    expect(both[1]).toMatchObject({ idleBeforeW: 5, idleAfterW: 5 })
  })
})
