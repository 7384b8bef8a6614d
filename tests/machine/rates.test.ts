import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { chipAt } from '../../src/physics/chip/chipAt.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { makeRatedWorld } from '../worlds/ratedWorld.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-rates-'))

const sheetOf = (trial: string, better = 'higher', score = 'tiles/s') =>
  parseSheet(
    `machine: Plover 14
chip: Plover X
chassis: Plover slim
workload: { name: tile render, score: ${score}, better: ${better} }
trials:
  - ${trial}
`,
    join(folder, 'sheet.yaml'),
  )

const world = makeRatedWorld(9, { kind: 'heat', noise: { white: 0.004, wander: 0.002, wanderS: 2, lagS: 0 } })
const rows = [...world.timesS].map((timeS, i) => {
  const pace = world.rate[i]!
  const frameMs = pace > 0 ? (1000 / pace).toPrecision(7) : ''
  return `${timeS.toFixed(2)},${world.powerW[i]!.toFixed(2)},${world.temperatureC[i]},${pace.toFixed(4)},${frameMs}`
})
writeFileSync(
  join(folder, 'load.csv'),
  `time_s,Package [W],Package [°C],tiles/s,frame time [ms]\n${rows.join('\n')}\n`,
)

describe('a sheet whose log has the pace of the work', () => {
  it('is fitted from one load under falling power, without a scored run', async () => {
    const { chip, runs } = await fitMachine(sheetOf('{ log: load.csv, rate: tiles/s }'))
    expect(runs.length).toBeGreaterThan(15)
    expect(new Set(runs.map(({ placedBy }) => placedBy))).toEqual(new Set(['rate']))
    const [low, high] = chip.measuredRangeW
    expect(high / low).toBeGreaterThan(1.3)
    const middleW = Math.sqrt(low * high)
    const { score } = chipAt(chip, middleW)!
    expect(Math.abs(score.value / world.rateAt(middleW, chip.referenceC!) - 1)).toBeLessThan(0.03)
  })

  it('reads the pace from a formula, and from times for fixed work', async () => {
    const [direct, inverse, times] = await Promise.all([
      fitMachine(sheetOf('{ log: load.csv, rate: tiles/s }')),
      fitMachine(sheetOf('{ log: load.csv, rate: \'1 / "frame time [ms]"\' }')),
      fitMachine(sheetOf('{ log: load.csv, rate: frame time }', 'lower', 'ms')),
    ])
    const powerW = direct.chassis.sustainedW.value
    const at = ({ chip }: typeof direct) => chipAt(chip, powerW)!.score.value
    expect(at(inverse) / at(direct)).toBeCloseTo(1, 3)
    expect((at(times) * at(direct)) / 1000).toBeCloseTo(1, 2)
  })

  it.each([
    ['{ log: load.csv, rate: tiles/s, runs: [ { score: 5 } ] }', 'rate-and-runs'],
    ['{ log: load.csv, rate: frames }', 'column-unknown'],
    ['{ log: load.csv, rate: tiles/h }', 'column-unknown'],
    ['{ log: load.csv, rate: 2 * * tiles }', 'formula-unreadable'],
  ])('%s is refused', async (trial, code) => {
    await expect((async () => fitMachine(sheetOf(trial)))()).rejects.toMatchObject({ code })
  })

  it('tells the same of a card at its limit from its power now and from a mean that lags', async () => {
    const log = resolve('tests/recordings/card-rounds.csv')
    const fitted = await Promise.all(
      ['power now', 'power average'].map((power) =>
        fitMachine(sheetOf(`{ log: ${log}, load: 1, power: ${power}, rate: work rate }`, 'higher', 'T/s')),
      ),
    )
    const [now, mean] = fitted.map(({ chip }) => chipAt(chip, 690)!.score)
    expect(now!.value / mean!.value).toBeGreaterThan(0.99)
    expect(now!.value / mean!.value).toBeLessThan(1.01)
    expect(now!.low).toBeLessThan(mean!.value)
    expect(now!.high).toBeGreaterThan(mean!.value)
    expect(fitted.map(({ warnings }) => warnings.map(({ code }) => code).includes('rate-lags'))).toEqual([
      false,
      true,
    ])
  })
})
