import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readTestedMachine } from '../../src/machine/readTestedMachine.js'
import { readSheet } from '../../src/sheet/readSheet.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-formulas-'))
const rows = Array.from({ length: 400 }, (_, i) => `${i},12.0,${i < 20 || i > 380 ? 0.5 : 4 + (i % 3) / 100}`)
writeFileSync(join(folder, 'wren.csv'), `time_s,volts,amps\n${rows.join('\n')}\n`)
writeFileSync(join(folder, 'times.csv'), 'start,end,render time\n30,90,50 s\n90,190,1:40\n')

const sheetWith = (power: string, score: string) => {
  writeFileSync(
    join(folder, 'wren.yaml'),
    `machine: Wren 13
chip: Kestrel 16
chassis: Wren thin
workload: { name: tile render, score: points, better: higher }
trials:
  - log: wren.csv
    power: ${power}
    runs: { file: times.csv, score: '${score}' }
`,
  )
  return readSheet(join(folder, 'wren.yaml'))
}

describe('a sheet with formulas', () => {
  it('reads the power and the scores that they give', async () => {
    const { trials } = await readTestedMachine(await sheetWith('"volts * amps"', '1e6 / "render time"'))
    const [trial] = trials
    expect(trial).toMatchObject({ kind: 'logged', runs: [{ score: 20_000 }, { score: 10_000 }] })
    expect(trial?.kind === 'logged' && trial.log.trace.powerW[100]).toBeCloseTo(48.12, 9)
  })

  it.each([
    ['volts * amps', '1e6 / tiem', 'score-column-missing', /at character 7: "tiem"/],
    ['volts * watts', '1e6', 'column-unknown', /at character 9: "watts"/],
  ])('with %s and %s tells where the fault is', async (power, score, code, message) => {
    const sheet = await sheetWith(`"${power}"`, score)
    await expect(readTestedMachine(sheet)).rejects.toMatchObject({
      code,
      message: expect.stringMatching(message),
    })
  })
})
