import { describe, expect, it } from 'vitest'
import { auditRunTimes } from '../../src/audit/auditRunTimes.js'
import type { Load } from '../../src/segment/load.js'
import type { PlacedRun } from '../../src/sheet/placedRun.js'

/** A loop of runs of 60 s with pauses of 6 s from 100 s on, as the log shows it. */
const STARTS = [100, 166, 232, 298, 364]
const load = (starts: readonly number[]): Load =>
  ({
    startS: starts[0]!,
    endS: starts.at(-1)! + 60,
    runs: starts.map((startS) => ({ startS, endS: startS + 60, meanW: 40, energyWh: 1 })),
  }) as unknown as Load
const WHOLE = { ...load(STARTS), runs: [] } as unknown as Load
const noted = (move: (i: number) => readonly [number, number], placedBy: PlacedRun['placedBy'] = 'times') =>
  STARTS.map((startS, i): PlacedRun => {
    const [first, last] = move(i)
    return { startS: startS + first, endS: startS + 60 + last, score: 100, placedBy }
  })
const found = (runs: readonly PlacedRun[], of = load(STARTS)) =>
  auditRunTimes({ runs, loads: [of], intervalS: 1 })

describe('runs that were noted by another clock than the log’s', () => {
  it('are told with how far they lie late or early, by their pauses or by the ends of the loop', () => {
    expect(found(noted(() => [8, 8]))).toEqual([
      expect.objectContaining({
        code: 'run-times-moved',
        severity: 'unsafe',
        message: expect.stringMatching(/8 s later .* Take 8 s from every start and end/),
      }),
    ])
    expect(found(noted((i) => [-20 + (i % 2), -20 - (i % 2)]))[0]!.message).toMatch(
      /20 s earlier .* Add 20 s to/,
    )
    expect(
      found(
        noted(() => [20, 20]),
        WHOLE,
      )[0]!.message,
    ).toMatch(/20 s later/)
    const slow = STARTS.map((s) => ({
      startS: 10 * s + 5,
      endS: 10 * s + 605,
      score: 1,
      placedBy: 'times' as const,
    }))
    const long = { ...WHOLE, startS: 1000, endS: 4240 }
    expect(found(slow, long)[0]?.severity).toBe('caution')
  })

  it.each([
    ['noted by hand, a second or two late', noted((i) => [1 + (i % 2), 2])],
    ['shorter than the work, or longer', noted(() => [8, -8])],
    ['scored from later on, with the same end', noted(() => [8, 0])],
    ['noted with minutes alone', noted((i) => [[-20, 25, -5, 30, 10][i]!, [15, -25, 30, -10, 5][i]!])],
    ['found in the log', noted(() => [8, 8], 'pauses')],
    ['the later ones of a loop without pauses', noted(() => [0, 0]).slice(2)],
  ])('are not told where they are %s', (_what, runs) => {
    expect(found(runs)).toEqual([])
    expect(found(runs, WHOLE)).toEqual([])
  })
})
