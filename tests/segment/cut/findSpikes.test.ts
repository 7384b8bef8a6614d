import { describe, expect, it } from 'vitest'
import { findSpikes } from '../../../src/segment/cut/findSpikes.js'

const flat = (changes: Readonly<Record<number, number>>, count = 20) =>
  Float64Array.from({ length: count }, (_, i) => changes[i] ?? 100)

describe('a spike', () => {
  it('is a sample by itself, up or down', () => {
    expect(findSpikes(flat({ 5: 120, 12: 60 }), 1, true)).toEqual([5, 12])
    expect(findSpikes(flat({ 5: 120, 12: 60 }), 1, false)).toEqual([5, 12])
  })

  it('is no edge, no end sample, and nothing within noise or 3 % of the level', () => {
    expect(findSpikes(Float64Array.from([100, 100, 100, 80, 60, 60, 60]), 1, true)).toEqual([])
    expect(findSpikes(flat({ 0: 150, 19: 20 }), 1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 105.9 }), 1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 106 }), 1, true)).toEqual([5])
    expect(findSpikes(flat({ 5: 102.9 }), 0.1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 103 }), 0.1, true)).toEqual([5])
  })

  it('is found beside neighbours that differ by a third of it, and not by half', () => {
    const stepped = (after: number) =>
      Float64Array.from({ length: 20 }, (_, i) => (i < 5 ? 100 : i > 5 ? after : 160))
    expect(findSpikes(stepped(119), 0.1, true)).toEqual([])
    expect(findSpikes(stepped(117), 0.1, true)).toEqual([5])
  })
})

describe('what a sample is far from', () => {
  const levels = (...runs: readonly (readonly [watts: number, count: number])[]) =>
    Float64Array.from(runs.flatMap(([watts, count]) => new Array<number>(count).fill(watts)))

  it('is the median of the five before and the five after it, none farther', () => {
    expect(findSpikes(levels([60, 20], [100, 6], [62, 1], [100, 10]), 1, false)).toEqual([26])
    expect(findSpikes(levels([100, 10], [62, 1], [100, 6], [60, 20]), 1, false)).toEqual([10])
  })

  it('is that of both sides', () => {
    expect(findSpikes(levels([100, 8], [62, 1], [100, 1], [60, 8]), 1, false)).toEqual([8, 9])
    expect(findSpikes(levels([60, 8], [100, 1], [62, 1], [100, 8]), 1, false)).toEqual([8, 9])
  })
})

describe('two samples of which one holds what the other lacks, as where a meter is read late', () => {
  it('are spikes in a log of means, either of them first', () => {
    expect(findSpikes(flat({ 5: 123, 6: 78 }), 1, true)).toEqual([5, 6])
    expect(findSpikes(flat({ 5: 78, 6: 123 }), 1, true)).toEqual([5, 6])
  })

  it('are what they are in a log of instants', () => {
    expect(findSpikes(flat({ 5: 123, 6: 78 }), 1, false)).toEqual([])
  })

  it('are none where they don’t cancel, lie on one side, or within noise', () => {
    expect(findSpikes(flat({ 5: 123, 6: 60 }), 1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 120, 6: 121 }), 1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 104, 6: 96 }), 1, true)).toEqual([])
    expect(findSpikes(flat({ 5: 102.9, 6: 97.1 }), 0.1, true)).toEqual([])
  })

  it('cancel within a third of the smaller and three noise scales', () => {
    expect(findSpikes(flat({ 5: 107, 6: 88 }), 1, true)).toEqual([5, 6])
    // By itself the second is one, too.
    expect(findSpikes(flat({ 5: 107, 6: 87 }), 1, true)).toEqual([6])
    expect(findSpikes(flat({ 5: 107, 6: 90 }), 0.2, true)).toEqual([5, 6])
    expect(findSpikes(flat({ 5: 107, 6: 89 }), 0.2, true)).toEqual([])
  })

  it('are none where one of them is as most samples around them', () => {
    const often = Float64Array.from([120, 120, 120, 120, 100, 120, 80, 100, 120, 120, 120, 120])
    expect(findSpikes(often, 1, true)).toEqual([4])
  })

  it('are none on the way from one level to another', () => {
    const down = Float64Array.from([100, 100, 100, 100, 100, 120, 80, 60, 60, 60])
    expect(findSpikes(down, 1, true)).toEqual([])
  })

  it('are none across an edge, at the end, or in power that goes up and down all the time', () => {
    expect(findSpikes(Float64Array.from([100, 100, 100, 120, 50, 60, 60, 60]), 1, true)).toEqual([])
    expect(findSpikes(Float64Array.from([100, 100, 100, 100, 120, 80]), 1, true)).toEqual([])
    expect(
      findSpikes(
        Float64Array.from({ length: 20 }, (_, i) => (i % 2 ? 120 : 80)),
        20,
        true,
      ),
    ).toEqual([])
  })
})
