import { expect, it } from 'vitest'
import { findLoads } from '../../../src/segment/findLoads.js'
import { joinRested } from '../../../src/segment/stages/joinRested.js'
import { headlineOfTrace } from '../../../src/show/page/pageHeadlines.js'
import { randomStream } from '../../worlds/randomStream.js'
import { type Course, draftsOf, stretchesOf } from '../makeRun.js'
import { traceOf } from '../makeSteps.js'

// As on a real wall meter: a fall that is over within half a minute, and a step of half a per cent eight minutes later.
const random = randomStream(3)
const timesS = Float64Array.from({ length: 700 }, (_, i) => i)
const powerW = timesS.map((s) => {
  const level = s < 30 || s > 660 ? 150 : s < 560 ? 450 + 150 * Math.exp(-(s - 30) / 8) : 447.5
  return level + 0.6 * random.normal()
})

it('settles when a fall has come to rest, not when its level moves by half a per cent minutes later', () => {
  const [load] = findLoads(traceOf(timesS, powerW))
  const { reached, levelW, settleAfterS } = load!.sustained
  expect(reached).toBe(true)
  // 150 exp(-t / 8) is 2 % of 450 after 22 s.
  expect(settleAfterS!.value).toBeGreaterThan(18)
  expect(settleAfterS!.value).toBeLessThan(35)
  expect(levelW.low).toBeLessThan(450)
  expect(levelW.high).toBeGreaterThan(447.5)
  expect(load!.stages.map(({ shape }) => shape)).toEqual(['decay', 'level'])
  expect(headlineOfTrace('Wren', [load!])).not.toContain('start to end')
})

// A fall of 50 W towards 100 W with 10 s: within 2 % of 100 W after 10 ln(50 / 2) = 32.2 s, so from the sample at 33 s on.
const fall: Course = { samples: 61, levelW: 100, amplitudeW: 50, tauS: 10 }
const drafts = (levelW: number, first = fall) =>
  draftsOf(['decay', 'level'], { parts: [[first], [{ samples: 100, levelW }]] })

it('a level that a fall has come to rest at begins where the fall came within 2 % of it', () => {
  const joined = joinRested(drafts(100))
  expect(joined.map(({ shape }) => shape)).toEqual(['decay', 'level'])
  const [course, rest] = joined.map(({ stretches }) => stretches[0]!)
  expect([course!.startS, course!.endS]).toEqual([0, 32])
  expect([rest!.startS, rest!.endS]).toEqual([32, 160])
  expect([course!.part.from, course!.part.to]).toEqual([0, 33])
  expect([rest!.part.from, rest!.part.to, rest!.part.softS]).toEqual([33, 161, 0])
  expect(rest!.part.pieces.map(({ from, to }) => [from, to])).toEqual([
    [0, 61],
    [61, 161],
  ])
  expect(rest!.edge).toBeNull()
})

it('a level that lies more than 2 % off the fall’s end is another one, above or below', () => {
  const endW = 100 + 50 * Math.exp(-6)
  for (const off of [0.021, -0.02]) {
    const apart = drafts(endW * (1 + off))
    expect(joinRested(apart)).toBe(apart)
  }
  expect(joinRested(drafts(endW / 1.019))).toHaveLength(2)
  expect(joinRested(drafts(endW / 1.019))).not.toEqual(drafts(endW / 1.019))
})

it('neither the fall nor its rest may be shorter than 5 s', () => {
  const short = drafts(100, { ...fall, samples: 36 })
  expect(joinRested(short)).toBe(short)
  expect(joinRested(drafts(100, { ...fall, samples: 37 }))[0]!.stretches[0]!.endS).toBe(32)
  // Outside until 1.5 ln 25 = 4.8 s, or until 1.8 ln 25 = 5.8 s.
  const quick = drafts(100, { ...fall, tauS: 1.5 })
  expect(joinRested(quick)).toBe(quick)
  expect(joinRested(drafts(100, { ...fall, tauS: 1.8 }))[0]!.stretches[0]!.endS).toBe(5)
})

it('only the last fall and the level behind it are looked at, and no later run of a loop', () => {
  const other = draftsOf(['level', 'level'], { parts: [[fall], [{ samples: 100, levelW: 100 }]] })
  expect(joinRested(other)).toBe(other)
  const falls = draftsOf(['decay', 'decay'], { parts: [[fall], [{ samples: 100, levelW: 100 }]] })
  expect(joinRested(falls)).toBe(falls)
  const [decay] = stretchesOf({ parts: [[fall]] })
  const [later] = stretchesOf({ parts: [[{ samples: 100, levelW: 100 }]], startS: 80, runIndex: 1 })
  const loop = [
    { shape: 'decay' as const, stretches: [decay!] },
    { shape: 'level' as const, stretches: [later!] },
  ]
  expect(joinRested(loop)).toBe(loop)
})

it('the level takes the end of the fall’s last course with it, and keeps the runs that go on with it', () => {
  // From 125 W on towards 100 W with 10 s: within 2 % after another 25.3 s.
  const courses = [
    { samples: 20, levelW: 120, amplitudeW: 30, tauS: 8 },
    { samples: 60, levelW: 100, amplitudeW: 25, tauS: 10 },
  ]
  const [decay, level] = draftsOf(['decay', 'level'], { parts: [courses, [{ samples: 100, levelW: 100 }]] })
  const later = stretchesOf({ parts: [[{ samples: 50, levelW: 100 }]], startS: 300, runIndex: 1 })
  const [, rest] = joinRested([decay!, { ...level!, stretches: [...level!.stretches, ...later] }])
  expect(rest!.stretches).toHaveLength(2)
  expect(rest!.stretches[0]!.startS).toBe(45)
  expect(rest!.stretches[0]!.part.pieces.map(({ from }) => from)).toEqual([20, 80])
  expect(rest!.stretches[1]).toBe(later[0])
})

it('what came before stays as it was', () => {
  const three = draftsOf(['level', 'decay', 'level'], {
    parts: [[{ samples: 30, levelW: 150 }], [fall], [{ samples: 100, levelW: 100 }]],
  })
  const joined = joinRested(three)
  expect(joined).toHaveLength(3)
  const quick = draftsOf(['level', 'decay', 'level'], {
    parts: [[{ samples: 30, levelW: 150 }], [{ ...fall, tauS: 1.5 }], [{ samples: 100, levelW: 100 }]],
  })
  expect(joinRested(quick)).toBe(quick)
  expect(joined[0]).toBe(three[0])
  expect(joined[1]!.stretches[0]!.endS).toBe(62)
})
