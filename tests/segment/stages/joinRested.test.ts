import { expect, it } from 'vitest'
import { findLoads } from '../../../src/segment/findLoads.js'
import { headlineOfTrace } from '../../../src/show/page/pageHeadlines.js'
import { randomStream } from '../../worlds/randomStream.js'
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
