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
