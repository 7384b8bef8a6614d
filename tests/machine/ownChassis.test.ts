import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { planNextTest } from '../../src/predict/plan/planNextTest.js'
import { projectScore } from '../../src/predict/projection/projectScore.js'
import { readSheet } from '../../src/sheet/readSheet.js'
import { drawChassis } from '../worlds/chassisTruth.js'
import { chipTruth, drawChip } from '../worlds/chipTruth.js'
import { makeWorld, type World, type WorldOptions } from '../worlds/makeWorld.js'
import { randomStream } from '../worlds/randomStream.js'

/** A machine that heat holds, whose die has this time constant. */
function dieOf(seed: number, tauS: number): WorldOptions {
  const random = randomStream(seed + 1000)
  const chip = chipTruth(drawChip(random, 'Plover X'))
  const chassis = drawChassis(random, random.pick(['heat', 'budget-then-heat'] as const), chip, 'Plover slim')
  const thermal = chassis.thermal.map((stage, i) => (i === 0 ? { ...stage, tauS } : stage))
  return { chip, chassis: { ...chassis, thermal } }
}

async function tested(world: World) {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-own-'))
  try {
    for (const { name, bytes } of world.logs) writeFileSync(join(folder, name), bytes)
    writeFileSync(join(folder, 'plover.yaml'), world.sheetYaml)
    return await fitMachine(await readSheet(join(folder, 'plover.yaml')))
  } finally {
    rmSync(folder, { recursive: true })
  }
}

describe('a machine projected into its own chassis', () => {
  // Seeds 24, 46 and 74 missed by their intervals before; the dies made the simulated controller swing.
  const any = [24, 46, 74, 100].map((seed) => ['any', seed, {}] as const)
  const noInertia = [0, 7].map((seed) => ['no inertia', seed, dieOf(seed, 0.1)] as const)
  const slowLog = [13, 19].map((seed) => ['1 s', seed, dieOf(seed, 1)] as const)

  test.each([...any, ...noInertia, ...slowLog])(
    'meets its steady score: die %s, seed %d',
    async (_, seed, options) => {
      const machine = await tested(makeWorld(seed, options))
      const { chip, chassis, loop, asTested } = machine
      const { change } = projectScore({ chip, target: chassis, loop, tested: chassis, asTested })
      if (change.steadyPct !== null) {
        expect(change.steadyPct.low).toBeLessThanOrEqual(0)
        expect(change.steadyPct.high).toBeGreaterThanOrEqual(0)
      }
      const request = { loop: { gapS: loop.gapS, runS: 60 }, settled: { reached: true, loadS: 900 } }
      const plan = planNextTest({ ...request, chassis, chip: null, scatter: null })
      expect(plan.settleS.value).toBeLessThan(3600)
    },
  )
})
