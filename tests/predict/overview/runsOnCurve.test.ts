import { describe, expect, it } from 'vitest'
import { fitMachine } from '../../../src/machine/fitMachine.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'
import { runsOnCurve } from '../../../src/predict/overview/runsOnCurve.js'
import { readSheet } from '../../../src/sheet/readSheet.js'
import { runInside } from '../../cli/commandLine.js'

describe('runs that are set on the curve', () => {
  it('are brought to its temperature, and lie as far off as they were fitted', async () => {
    const machine = await fitMachine(await readSheet('samples/heron.yaml'))
    const { runs, referenceC } = runsOnCurve(machine)
    // Their mean: the log has 77 degrees C at the first drop and 69 later.
    expect(referenceC).toBe(72)
    for (const [k, { meanW, score, fittedScore }] of machine.runs.entries()) {
      expect(runs[k]!.score / chipAt(machine.chip, meanW)!.score.value).toBeCloseTo(score / fittedScore, 9)
    }
    // The third run was hotter than the mean of all: it would have scored more there. After the drop of power the fourth was cooler.
    const gainOf = (k: number) => runs[k]!.score / machine.runs[k]!.score
    expect(gainOf(2)).toBeGreaterThan(1.001)
    expect(gainOf(3)).toBeLessThan(0.999)
  })

  it('stay as measured where no temperature counts', async () => {
    const machine = await fitMachine(await readSheet('samples/heron.yaml'))
    const chip = { ...machine.chip, draws: machine.chip.draws.map((draw) => ({ ...draw, heatPerK: 0 })) }
    expect(runsOnCurve({ ...machine, chip })).toEqual({ runs: machine.runs, referenceC: null })
  })

  it('are said to be in the answer of fit, and the temperature in those of fit and compare', async () => {
    const told = async (...args: readonly string[]) => (await runInside(args)).stdout.replace(/\s+/g, ' ')
    const fitted = await told('fit', 'samples/heron.yaml')
    expect(fitted).toContain('● is a run, brought to the 72 °C that the curve holds for')
    expect(fitted).toContain(
      'The curve is that of a chip at 72 °C; a cooler one scores more at the same power.',
    )
    expect(await told('compare', 'samples/heron.yaml', 'samples/ibis.yaml')).toContain(
      'All chips are at 84 °C; cooler ones score more at the same power.',
    )
  })
})
