import { describe, expect, it } from 'vitest'
import { asTested } from '../../src/machine/asTested.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { mainLoad } from '../../src/machine/mainLoad.js'
import type { ReadTest } from '../../src/machine/testedMachine.js'
import { chooseTest } from '../../src/sheet/chooseTest.js'
import { readWholeSheet } from '../../src/sheet/readSheet.js'

type Lengths = readonly number[]

const logged = (mode: string | null, lengths: Lengths) => ({
  kind: 'logged',
  trial: { mode },
  loads: lengths.map((endS) => ({ startS: 0, endS })),
  runs: [],
})
const mainOf = (...trials: readonly object[]) => mainLoad({ trials } as unknown as ReadTest)?.load.endS

describe('the load that a test is spoken of by', () => {
  it('is the longest, where the trials are of one mode or of none that is noted', () => {
    expect(mainOf(logged(null, [100, 500]), logged(null, [700, 90]))).toBe(700)
    expect(mainOf()).toBeUndefined()
    expect(mainOf(logged(null, []))).toBeUndefined()
  })

  it('is of the first mode that has a load, however long others are', () => {
    expect(mainOf(logged('quiet', []), logged('mains', [100, 500]), logged('battery', [700]))).toBe(500)
  })
})

describe('a test in several power modes', () => {
  it('has its limits, its scores and its projections from one of them', async () => {
    const sheet = await readWholeSheet('samples/review/heron-14.yaml')
    const tested = (name: string) => fitMachine([chooseTest(sheet, name)])
    const both = await tested('mosaic render')
    const mains = await tested('mosaic render, all threads @ mains')
    const lengths = both.tests[0]!.trials.map((trial) =>
      trial.kind === 'logged' ? trial.loads[0]!.endS - trial.loads[0]!.startS : 0,
    )
    expect(lengths[1]).toBeGreaterThan(lengths[0]!)
    expect(asTested(both).sustainedW).toEqual(asTested(mains).sustainedW)
    expect(both.chassis.sustainedW).toEqual(mains.chassis.sustainedW)
    expect(both.asTested.steadyScore!.value).toBe(mains.asTested.steadyScore!.value)
    expect(both.loop).toEqual(mains.loop)
    expect(both.warnings).toContainEqual({
      code: 'modes-mixed',
      modes: ['mains', 'battery'],
      main: 'mains',
    })
  })
})
