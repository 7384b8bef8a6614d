import { describe, expect, it } from 'vitest'
import { findLoads } from '../../src/segment/findLoads.js'
import { judgeSession } from '../worlds/session/judgeSession.js'
import { makeSession } from '../worlds/session/makeSession.js'

const sessions = Array.from({ length: 40 }, (_, k) => makeSession(5000 + k)).map((session) => ({
  session,
  loads: findLoads(session.trace),
}))

/** Share of the answers that are right, of those that could be judged. */
function share(answers: readonly (boolean | null)[]): number {
  const judged = answers.filter((answer) => answer !== null)
  return judged.filter(Boolean).length / judged.length
}

describe('whole sessions with a truth of their own', () => {
  it('have their loads, runs, settled levels and causes found, and no level that their samples rule out', () => {
    const judged = sessions.map(({ session, loads }) => judgeSession(session, loads))
    const found = judged.flatMap((session) => session.found)
    const missed = judged.flatMap((session) => session.missed).length
    const wrong = judged.flatMap((session) => session.false).length
    expect((2 * found.length) / (2 * found.length + missed + wrong)).toBeGreaterThanOrEqual(0.95)
    expect(share(found.map(({ runsRight }) => runsRight))).toBeGreaterThanOrEqual(0.95)
    expect(share(found.map(({ settledRight }) => settledRight))).toBeGreaterThanOrEqual(0.85)
    expect(share(found.map(({ reachedRight }) => reachedRight))).toBeGreaterThanOrEqual(0.85)
    expect(share(found.map(({ heldByRight }) => heldByRight))).toBeGreaterThanOrEqual(0.85)
    expect(share(found.map(({ sureAndWrong }) => sureAndWrong))).toBeLessThanOrEqual(0.06)
    expect(found.filter(({ impossible }) => impossible).length).toBeLessThanOrEqual(1)
  })

  it('have tasks that come and go, whose mean is told as what is sustained, within what the truth allows', () => {
    const games = sessions.flatMap(({ session, loads }) =>
      session.loads
        .filter(({ kind, reached }) => kind === 'game' && reached === true)
        .flatMap(({ startS, endS, settledW }) => {
          const load = loads.find(
            (each) => Math.abs(each.startS - startS) < 10 && Math.abs(each.endS - endS) < 10,
          )
          if (load === undefined || settledW === null) return []
          const { reached, levelW } = load.sustained
          return [{ reached, held: levelW.low <= settledW[1]! && levelW.high >= settledW[0]! }]
        }),
    )
    expect(games.length).toBeGreaterThan(3)
    expect(games.filter(({ reached }) => reached).length).toBeGreaterThanOrEqual(0.6 * games.length)
    expect(games.filter(({ held }) => held).length).toBeGreaterThanOrEqual(0.8 * games.length)
  })
})
