import { describe, expect, it } from 'vitest'
import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { runHeat } from '../../../src/fit/chip/runHeat.js'
import type { Workload } from '../../../src/physics/chip/chip.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'
import { leakageHeat, USUAL_LOAD_C } from '../../../src/physics/chip/leakageHeat.js'

function run(
  powerW: number,
  warmth: { readonly meanC?: number; readonly warmingW?: number },
  score = 1000,
  startS = 0,
) {
  const profile = { powersW: [powerW], secondsS: [60], meanW: powerW, ...warmth }
  return { sheet: 'a', startS, endS: startS + 60, score, profile }
}

describe('runHeat', () => {
  it('takes logged temperatures as they are, above or below their mean', () => {
    const { heatK, measured, referenceC } = runHeat([run(12, { meanC: 46 }), run(12, { meanC: 58.4 })])
    expect(measured).toBe(true)
    expect(referenceC).toBe(52)
    expect(heatK[0]).toBeCloseTo(leakageHeat(46, 52), 10)
    expect(heatK[1]).toBeCloseTo(leakageHeat(58.4, 52), 10)
  })

  it('guesses that a first run is cooler than the last, without temperatures', () => {
    const { heatK, measured, referenceC } = runHeat([run(90, { warmingW: 40 }), run(60, { warmingW: 60 })])
    expect(measured).toBe(false)
    expect(referenceC).toBe(USUAL_LOAD_C)
    expect(heatK[0]).toBeLessThan(-10)
    expect(heatK[1]).toBeCloseTo(0, 10)
  })

  it('does not mix logged temperatures with guesses', () => {
    expect(runHeat([run(60, { meanC: 95, warmingW: 60 }), run(60, { warmingW: 60 })]).measured).toBe(false)
  })
})

describe('fitChip on runs at one power and two temperatures', () => {
  const points: Workload = { name: 'tile render', score: 'points', better: 'higher' }
  const heat = 0.0015

  it('finds how much the hotter runs lose, and tells the curve at their mean temperature', () => {
    const runs = Array.from({ length: 16 }, (_, i) => {
      const meanC = i % 2 === 0 ? 40 : 66
      const noise = 1 + 0.001 * ((i % 3) - 1)
      return run(60, { meanC }, 1000 * noise * Math.exp(-heat * leakageHeat(meanC, 53)), 65 * i)
    })
    const { chip } = fitChip({ name: 'Kestrel 16', workload: points, runs })
    const perK = chip.draws.reduce((sum, draw) => sum + draw.weight * draw.heatPerK!, 0)
    expect(Math.abs(perK / heat - 1)).toBeLessThan(0.15)
    expect(chip.referenceC).toBe(53)
    expect(Math.abs(chipAt(chip, 60)!.score.value / 1000 - 1)).toBeLessThan(0.003)
  })
})
