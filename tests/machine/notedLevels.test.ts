import { describe, expect, it } from 'vitest'
import { machinesAsTested } from '../../src/machine/asTested.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { chipAt } from '../../src/physics/chip/chipAt.js'
import { chipAtTemperature } from '../../src/physics/chip/chipAtTemperature.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'

interface Note {
  readonly level: string
  readonly score: number
  readonly unit?: string
}

/** A sweep over settings: a trial for each level. */
function sweep(notes: readonly Note[]) {
  const trials = notes.map(
    ({ level, score, unit }) =>
      `  - noted: [ { ${level} } ]\n    runs: [ { score: ${score}, after: 10 min } ]\n${unit === undefined ? '' : `    unit: ${unit}\n`}`,
  )
  const head =
    'machine: M\nchip: K\nchassis: C\nworkload: { name: w, score: points, better: higher }\ntrials:\n'
  return fitMachine(parseSheet(`${head}${trials.join('')}`, 'sweep.yaml'))
}

function widthAt(machine: Awaited<ReturnType<typeof sweep>>, powerW: number): number {
  const { low, high, value } = chipAt(machine.chip, powerW)!.score
  return (high - low) / value
}

describe('a noted level with more than its power', () => {
  it('takes what leakage of a hot chip costs from its temperature', async () => {
    const scores = [1000, 1130, 1240]
    const at = (temperaturesC: readonly number[]) =>
      sweep(
        [40, 52.5, 68].map((powerW, k) => ({
          level: `power: ${powerW} W, temperature: ${temperaturesC[k]} degC`,
          score: scores[k]!,
        })),
      )
    const cool = await at([78, 78, 78])
    const hot = await at([78, 78, 98])
    // The same score at 98 degC is worth more at 78: 20 K at 0.12 % a kelvin (src/physics/chip/leakageHeat.ts).
    const [hotScore, coolScore] = [hot, cool].map(
      ({ chip }) => chipAt(chipAtTemperature(chip, 78), 68)!.score.value,
    )
    const gain = hotScore! / coolScore! - 1
    expect(gain).toBeGreaterThan(0.01)
    expect(gain).toBeLessThan(0.05)
  })

  it('is named where its clock says that it was measured at another setting', async () => {
    const clean = [
      { level: 'power: 30.5 W, clock: 2.4 GHz', score: 1000 },
      { level: 'power: 45 W, clock: 2.9 GHz', score: 1180 },
      { level: 'power: 60 W, clock: 3.3 GHz', score: 1310 },
    ]
    const codes = async (notes: readonly Note[]) => (await sweep(notes)).warnings.map(({ code }) => code)
    expect(await codes(clean)).not.toContain('level-clocks-disagree')
    // More cores at a lower clock: the power rises, the clock falls.
    const cores = [...clean.slice(0, 2), { level: 'power: 60 W, clock: 2.6 GHz', score: 1310 }]
    // The score grows by 11 % on 3 % of clock.
    const fast = [...clean.slice(0, 2), { level: 'power: 60 W, clock: 3.0 GHz', score: 1310 }]
    for (const notes of [cores, fast]) {
      const { warnings } = await sweep(notes)
      expect(warnings.find(({ code }) => code === 'level-clocks-disagree')).toMatchObject({
        lowerW: 45,
        higherW: 60,
      })
    }
  })

  it('tells what held the power by the share of time at the limit', async () => {
    const held = async (percent: number) =>
      machinesAsTested(await sweep([{ level: `power: 44 W, capped: ${percent} %`, score: 1000 }]))[0]!.heldBy
    expect(await held(100)).toBe('power-limit')
    expect(await held(50)).toBe('undetermined')
    expect(await held(0)).toBe('demand')
    expect(machinesAsTested(await sweep([{ level: 'power: 44 W', score: 1000 }]))[0]!.heldBy).toBeNull()
  })

  it('scores no more above a power that the limit hardly ever held, and is named where it held in part', async () => {
    const levels = (percent: number) => [
      { level: 'power: 30.5 W, capped: 100 %', score: 1000 },
      { level: 'power: 45 W, capped: 100 %', score: 1180 },
      { level: `power: 52 W, capped: ${percent} %`, score: 1250 },
    ]
    const free = await sweep(levels(3))
    expect(free.chip.demandW).toBe(52)
    expect(chipAt(free.chip, 80)!.score.value).toBeCloseTo(chipAt(free.chip, 52)!.score.value, 6)
    const partly = await sweep(levels(40))
    expect(partly.chip.demandW).toBeNull()
    expect(partly.warnings).toContainEqual({ code: 'level-partly-capped', powerW: 52, cappedPct: 40 })
  })

  it('of a second unit may lie a little off the curve of the first', async () => {
    const notes = (unit: string | undefined) => [
      ...[30.5, 40, 52, 68].map((powerW) => ({
        level: `power: ${powerW} W`,
        score: Math.round(100 * powerW ** 0.55),
        ...(unit === undefined ? {} : { unit: 'first' }),
      })),
      ...[30.5, 40, 52, 68].map((powerW) => ({
        level: `power: ${powerW} W`,
        score: Math.round(101.5 * powerW ** 0.55),
        ...(unit === undefined ? {} : { unit }),
      })),
    ]
    const two = await sweep(notes('second'))
    const one = await sweep(notes(undefined))
    // 1.5 % between the units is scatter of the runs where nothing tells them apart.
    expect(two.scatter.value).toBeLessThan(0.75 * one.scatter.value)
    expect(widthAt(two, 45)).toBeLessThan(0.06)
  })
})
