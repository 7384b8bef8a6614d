import { expect, it } from 'vitest'
import { quantile } from '../../../src/numeric/statistics/quantile.js'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { lightTaskWorld } from './lightTaskWorlds.js'

const WORLDS = Number(process.env.LIGHT_WORLDS ?? 10)

it(`of tasks that draw a few watts, on ${2 * WORLDS} generated chips, the ratio at equal power and temperature is held`, () => {
  const found: { readonly error: number; readonly held: boolean; readonly width: number }[] = []
  for (let seed = 1; seed <= WORLDS; seed++) {
    const { machines, logRatio } = lightTaskWorld(4100 + seed)
    for (const { atW, atC, pairs, machines: tested } of reviewMachines(machines).results) {
      // Silicon under such a task is far from the heat of a full load.
      expect(atC).toBeLessThan(75)
      expect(tested).toHaveLength(4)
      const truth = logRatio(atW!, atC!)
      const { value, low, high } = pairs.find(({ a, b }) => a === 'Dunlin a' && b === 'Godwit a')!
        .atEqualPower!
      found.push({
        error: Math.abs(Math.log(value) - truth),
        held: low <= Math.exp(truth) && Math.exp(truth) <= high,
        width: Math.log(high / low),
      })
    }
  }
  const errors = found.map(({ error }) => error)
  const held = found.filter((each) => each.held).length
  const figures = {
    held,
    of: found.length,
    median: quantile(errors, 0.5),
    p90: quantile(errors, 0.9),
    width: quantile(
      found.map(({ width }) => width),
      0.5,
    ),
  }
  if (process.env.LIGHT_WORLDS !== undefined) process.stderr.write(`${JSON.stringify(figures)}\n`)
  expect(figures.median).toBeLessThan(0.015)
  expect(held).toBeGreaterThanOrEqual(Math.floor(0.9 * found.length - 2.3 * Math.sqrt(0.09 * found.length)))
  expect(figures.width).toBeLessThan(0.08)
}, 600_000)
