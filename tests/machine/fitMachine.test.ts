import { describe, expect, it } from 'vitest'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { readSheet } from '../../src/sheet/readSheet.js'

const within = (value: number, truth: number, share: number) =>
  expect(Math.abs(value / truth - 1), `${value} against ${truth}`).toBeLessThan(share)

describe('a fitted machine', () => {
  it('has the limits and holds of the machine that was tested', async () => {
    const { chassis, chip, runs, asTested, loop } = await fitMachine(await readSheet('samples/heron.yaml'))
    within(chassis.burstW.value, 96, 0.02)
    within(chassis.burstHoldS!.value, 7, 0.15)
    within(chassis.shortTermW!.value, 58, 0.02)
    within(chassis.shortTermHoldS!.value, 120, 0.05)
    within(chassis.sustainedW.value, 44.2, 0.01)
    expect(chip.draws.reduce((sum, draw) => sum + draw.weight, 0)).toBeCloseTo(1, 9)
    expect(runs).toHaveLength(26)
    for (const run of runs) within(run.fittedScore, run.score, 0.02)
    within(asTested.steadyScore!.value, 11_030, 0.01)
    expect(loop).toMatchObject({ runs: 26 })
    expect(loop.gapS).toBeLessThan(0.2)
  })

  it('pools sheets of one chip and workload, and speaks of the first', async () => {
    const sheets = await Promise.all(
      ['samples/bittern.yaml', 'samples/bittern-noted.yaml'].map((path) => readSheet(path)),
    )
    const pooled = await fitMachine(sheets)
    expect(pooled.machine).toBe('Bittern 17')
    expect(new Set(pooled.runs.map((run) => run.sheet)).size).toBe(2)
  })

  it('refuses to pool sheets of different work', async () => {
    const sheets = await Promise.all(
      ['samples/heron.yaml', 'samples/heron-compile.yaml'].map((path) => readSheet(path)),
    )
    await expect(fitMachine(sheets)).rejects.toMatchObject({ code: 'sheets-differ' })
  })

  it('is made from levels that were noted by hand when there is no log', async () => {
    const { chassis, runs, warnings } = await fitMachine(await readSheet('samples/bittern-noted.yaml'))
    expect(chassis.budgets).toHaveLength(2)
    expect([chassis.burstW.value, chassis.shortTermW!.value, chassis.sustainedW.value]).toEqual([104, 86, 71])
    expect(chassis.sustainedW.high - chassis.sustainedW.low).toBeGreaterThan(5)
    expect(runs.map((run) => run.placedBy)).toEqual(['noted', 'noted'])
    expect(warnings.map((warning) => warning.code)).toContain('run-length-unknown')
  })

  it('refuses noted levels that rise', async () => {
    const text = `machine: M
chip: K
chassis: C
workload: { name: w, score: points, better: higher }
trials:
  - noted: [ { power: 44 W, for: 5 s }, { power: 60 W } ]
    runs: [ { score: 100 } ]
`
    await expect(fitMachine(parseSheet(text, 'x.yaml'))).rejects.toMatchObject({ code: 'levels-rising' })
  })

  it('needs a scored run', async () => {
    const sheet = await readSheet('samples/heron.yaml')
    const trials = sheet.trials.map((trial) => (trial.kind === 'logged' ? { ...trial, runs: [] } : trial))
    await expect(fitMachine({ ...sheet, trials })).rejects.toMatchObject({ code: 'runs-missing' })
  })
})
