import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PendingBytes } from '../../src/log/pendingBytes.js'

describe('bytes that wait to be used', () => {
  it('are those that were added and not dropped, however they came', () => {
    const steps = fc.array(fc.tuple(fc.uint8Array({ maxLength: 40 }), fc.nat({ max: 60 })), { maxLength: 30 })
    fc.assert(
      fc.property(steps, (pieces) => {
        const pending = new PendingBytes()
        let expected: number[] = []
        for (const [piece, most] of pieces) {
          pending.add(piece)
          expected.push(...piece)
          expect([...pending.bytes]).toEqual(expected)
          const count = Math.min(most, expected.length)
          pending.drop(count)
          expected = expected.slice(count)
          expect([...pending.bytes]).toEqual(expected)
        }
      }),
    )
  })

  it('are a copy: what was added may be written over', () => {
    const piece = Uint8Array.of(1, 2, 3)
    const pending = new PendingBytes()
    pending.add(piece)
    piece.fill(9)
    expect([...pending.bytes]).toEqual([1, 2, 3])
  })
})
