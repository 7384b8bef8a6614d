import { describe, expect, it } from 'vitest'
import { findLoads } from '../../src/segment/findLoads.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { makeSteps } from './makeSteps.js'

const IDLE = [6, 30] as const

describe('the end of a load', () => {
  it('that wanders by a few per cent for 2 s is no stage, and takes nothing from the level before', () => {
    const [load] = findLoads(
      makeSteps({ levels: [IDLE, [24.2, 500], [23.2, 2], [6, 40]], noiseW: 0.2, everyS: 0.1 }),
    )
    expect(load!.stages).toHaveLength(1)
    expect(load!.sustained.reached).toBe(true)
    expect(load!.sustained.levelW.value).toBeCloseTo(24.2, 0)
  })

  it('that drops by a fifth is a stage, however short, and the load has not settled', () => {
    const [load] = findLoads(
      makeSteps({ levels: [IDLE, [24.2, 500], [19, 3], [6, 40]], noiseW: 0.2, everyS: 0.1 }),
    )
    expect(load!.stages).toHaveLength(2)
    expect(load!.sustained.reached).toBe(false)
  })
})

describe('a load that ends too soon', () => {
  it('two flat minutes have a floor and a ceiling, and no figure is quoted that they settle at', () => {
    const [load] = findLoads(makeSteps({ levels: [IDLE, [29.4, 120], [6, 40]] }))
    const { reached, bounds, levelW } = load!.sustained
    expect(reached).toBe(false)
    expect(bounds!.floorW).toBeLessThan(29.4 * 0.6)
    expect(bounds!.ceilingW).toBeGreaterThan(29.4)
    expect(bounds!.ceilingW).toBeLessThan(29.4 * 1.05)
    expect([levelW.low, levelW.high]).toEqual([bounds!.floorW, bounds!.ceilingW])
    expect(concludeStages(load!)).toMatch(/too short for a sustained power.*floor.*ceiling/)
    expect(concludeStages(load!)).not.toMatch(/settle at/)
  })

  it('power that stepped up again at the end stays within the levels that it was seen at', () => {
    const levels = [IDLE, [32, 80], [30, 170], [32, 10], [30, 80], [32, 9], [6, 40]] as const
    const { reached, bounds } = findLoads(makeSteps({ levels }))[0]!.sustained
    expect(reached).toBe(false)
    expect(bounds!.floorW).toBeGreaterThan(29)
    expect(bounds!.ceilingW).toBeLessThan(33)
  })

  it('a load that was watched for long enough has no bounds, only a level', () => {
    const { reached, bounds } = findLoads(makeSteps({ levels: [IDLE, [80, 1500], [6, 40]] }))[0]!.sustained
    expect(reached).toBe(true)
    expect(bounds).toBeNull()
  })
})

describe('power that comes and goes by itself', () => {
  it('is held by no set limit, which would not give way: what holds it is undetermined, with the reason', () => {
    const levels = [IDLE, [32, 80], [30, 170], [32, 60], [30, 80], [32, 60], [30, 90], [6, 40]] as const
    const { heldBy } = findLoads(makeSteps({ levels }))[0]!.stages.at(-1)!
    expect(heldBy.label).toBe('undetermined')
    expect(heldBy.evidence.join()).toMatch(/comes back: a set limit/)
  })
})
