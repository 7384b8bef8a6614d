import { describe, expect, it } from 'vitest'
import { heldInTest, labelByMachine, taskDemand } from '../../src/machine/review/taskDemand.js'
import type { ReadTest } from '../../src/machine/testedMachine.js'
import type { HoldLabel } from '../../src/segment/load.js'

/** A test of one load, as its log tells it. */
function test(
  levelW: number,
  label: HoldLabel,
  load: { readonly shapes?: readonly string[]; readonly reached?: boolean } = {},
): ReadTest {
  const { shapes = ['level'], reached = true } = load
  const loads = [
    {
      ...{ startS: 0, endS: 600 },
      stages: shapes.map((shape) => ({ shape, heldBy: { label, evidence: [] } })),
      sustained: { reached, levelW: { value: levelW } },
    },
  ]
  return { trials: [{ kind: 'logged', trial: { mode: null }, loads }] } as unknown as ReadTest
}
const without = { trials: [] } as unknown as ReadTest

describe('labelByMachine', () => {
  const render = test(45, 'power-limit', { shapes: ['level', 'level'] })

  it('takes a level far below what the machine holds under another task for what the task asks for', () => {
    const thread = test(12, 'undetermined')
    expect(labelByMachine(thread, [thread, render])).toBe('demand')
    expect(labelByMachine(thread, [thread])).toBe('undetermined')
    expect(labelByMachine(thread, [thread, without])).toBe('undetermined')
    expect(labelByMachine(without, [thread, render])).toBeNull()
  })

  it('leaves it open where limits of one machine may differ so, where power fell, and where the other had not settled', () => {
    expect(labelByMachine(test(21, 'undetermined'), [render])).toBe('undetermined')
    expect(labelByMachine(test(20, 'undetermined'), [render])).toBe('demand')
    const fell = test(12, 'undetermined', { shapes: ['level', 'level'] })
    expect(labelByMachine(fell, [render])).toBe('undetermined')
    expect(labelByMachine(test(12, 'undetermined', { shapes: ['falling'] }), [render])).toBe('undetermined')
    expect(labelByMachine(test(12, 'undetermined'), [test(45, 'heat', { reached: false })])).toBe(
      'undetermined',
    )
  })

  it('keeps what a log tells by itself', () => {
    for (const label of ['heat', 'power-limit', 'demand'] as const)
      expect(labelByMachine(test(12, label), [render])).toBe(label)
  })
})

describe('taskDemand', () => {
  const of = (read: ReadTest, label: HoldLabel | null) => ({ read, label })

  it('is the highest of the powers at which nothing but the task was seen to hold, where no log of them says another cause', () => {
    const [low, high] = [of(test(11.8, 'demand'), 'demand'), of(test(12, 'undetermined'), 'undetermined')]
    expect(taskDemand([low, high])).toEqual({ atW: 11.8, isKnown: true })
    expect(taskDemand([low, of(test(12, 'demand'), 'demand')])).toEqual({ atW: 12, isKnown: true })
    expect(taskDemand([low, of(test(12, 'heat'), 'heat')])).toBeNull()
    expect(taskDemand([])).toBeNull()
  })

  it('may be the highest of all where no log tells the cause of that', () => {
    const [low, high] = [of(test(8, 'demand'), 'demand'), of(test(12, 'undetermined'), 'undetermined')]
    expect(taskDemand([low, high])).toEqual({ atW: 12, isKnown: false })
  })

  it('is not known of a load that fell, or bends', () => {
    for (const shapes of [['level', 'level'], ['falling']])
      expect(taskDemand([of(test(12, 'demand', { shapes }), 'demand')])).toBeNull()
  })
})

describe('heldInTest', () => {
  const mains = { meanW: 69, rate: 350 }
  const none = { demandW: null, paces: [] }

  it('does not say that a task asks for no more that was faster at more power with the same chip', () => {
    const battery = { meanW: 17, rate: 144 }
    expect(heldInTest('demand', battery, { demandW: 69, paces: [mains, battery] })).toBe('undetermined')
    expect(heldInTest('demand', mains, { demandW: 69, paces: [mains, battery] })).toBe('demand')
    expect(heldInTest('power-limit', battery, { demandW: 69, paces: [mains] })).toBe('power-limit')
  })

  it('says so of a unit that leaks more, or scores a little more, at the same clock', () => {
    const own = { meanW: 12, rate: 100 }
    for (const pace of [
      { meanW: 14, rate: 101 },
      { meanW: 12.5, rate: 110 },
    ])
      expect(heldInTest('demand', own, { demandW: 14, paces: [own, pace] })).toBe('demand')
    for (const pace of [{ meanW: 13.1, rate: 103.1 }])
      expect(heldInTest('demand', own, { demandW: 14, paces: [own, pace] })).toBe('undetermined')
  })

  it('tells what draws as much as the task asks for by that, where nothing else is known', () => {
    const own = { meanW: 12, rate: 100 }
    expect(heldInTest('undetermined', own, { demandW: 12.3, paces: [] })).toBe('demand')
    expect(heldInTest('undetermined', own, { demandW: 13, paces: [] })).toBe('undetermined')
    expect(heldInTest('undetermined', own, none)).toBe('undetermined')
    expect(heldInTest('heat', own, { demandW: 12, paces: [] })).toBe('heat')
  })

  it('keeps what is known where the power of the runs is not, and knows nothing without a load', () => {
    expect(heldInTest('demand', null, none)).toBe('demand')
    expect(heldInTest(null, { meanW: 12, rate: 1 }, none)).toBeNull()
  })
})
