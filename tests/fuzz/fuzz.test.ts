import { describe, expect, it } from 'vitest'
import { drawCase, makeInput } from './fuzzCase.js'
import { judgeCase } from './judgeCase.js'
import { secondsAllowed } from './secondsAllowed.js'

// The small form of `npm run fuzz`: 400 inputs of a seed of their own.
const SEED = 20260301
const CASES = 400
const PARTS = 4

/** Times the processor time that `npm run fuzz` allows, from which on a case counts as hanging. */
const HANG = 15

describe('four hundred mutated logs, sheets and models', () => {
  it('are made the same, byte for byte, from the same seed and number', () => {
    for (let number = 0; number < 20; number++)
      expect(Buffer.compare(makeInput(drawCase(SEED, number)), makeInput(drawCase(SEED, number)))).toBe(0)
    expect(drawCase(SEED, 0)).not.toEqual(drawCase(SEED + 1, 0))
  })

  it.each(Array.from({ length: PARTS }, (_, part) => part))(
    'end in a sound result or a clear refusal, never in a fault, a hang or a number that is none (part %i)',
    async (part) => {
      for (let number = part; number < CASES; number += PARTS) {
        const fuzzCase = drawCase(SEED, number)
        const bytes = makeInput(fuzzCase)
        const before = process.cpuUsage()
        try {
          await judgeCase(fuzzCase, bytes)
        } catch (error) {
          throw new Error(`npm run fuzz -- ${SEED}:${number}`, { cause: error })
        }
        const { user, system } = process.cpuUsage(before)
        // A hang is a fault, a busy machine is none.
        expect((user + system) / 1e6).toBeLessThan(HANG * secondsAllowed(fuzzCase, bytes.length))
      }
    },
  )
})
