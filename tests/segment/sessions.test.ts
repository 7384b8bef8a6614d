import { describe, expect, it } from 'vitest'
import { findLoads } from '../../src/segment/findLoads.js'
import { judgeSession } from '../worlds/session/judgeSession.js'
import { makeSession } from '../worlds/session/makeSession.js'

const SESSIONS = 40

/** Share of the answers that are right, of those that could be judged. */
function share(answers: readonly (boolean | null)[]): number {
  const judged = answers.filter((answer) => answer !== null)
  return judged.filter(Boolean).length / judged.length
}

describe('whole sessions with a truth of their own', () => {
  it('have their loads, runs, settled levels and causes found, and no level that their samples rule out', () => {
    const judged = Array.from({ length: SESSIONS }, (_, k) => {
      const session = makeSession(5000 + k)
      return judgeSession(session, findLoads(session.trace))
    })
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
  }, 120_000)
})
