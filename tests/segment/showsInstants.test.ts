import { describe, expect, it } from 'vitest'
import { profileRun } from '../../src/fit/chip/profileRun.js'
import { parseLog } from '../../src/log/parseLog.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { drawLogger } from '../worlds/logger.js'
import { makeWorld } from '../worlds/makeWorld.js'
import { randomStream } from '../worlds/randomStream.js'

function loopedWorld(seed: number, averaged: boolean, everyS: number) {
  const logger = { ...drawLogger(randomStream(seed), 90), averaged, everyS, spikes: 0 }
  const world = makeWorld(seed, { kind: 'one-step', dialect: 'plain', logger, gapS: 8, timed: true })
  const { trace } = parseLog(world.logs[0]!.bytes)
  return { world, trace, instants: findLoads(trace)[0]!.showsInstants }
}

describe('logs of instants', () => {
  it('are told from logs of means by the samples in which work stops', () => {
    const said = [0.5, 1, 2].flatMap((everyS) =>
      [1, 2].flatMap((seed) =>
        [true, false].map((averaged) => loopedWorld(seed, averaged, everyS).instants !== averaged),
      ),
    )
    expect(said.filter(Boolean).length).toBeGreaterThanOrEqual(11)
  })

  it('give the mean power of a run as truly as logs of means do', () => {
    for (const averaged of [true, false])
      for (const seed of [1, 2, 3]) {
        const { world, trace, instants } = loopedWorld(seed, averaged, 1)
        const errors = world.truth.runs.map(
          ({ startS, endS, meanW }) => profileRun(trace, startS, endS, instants)!.meanW / meanW - 1,
        )
        const bias = errors.reduce((a, b) => a + b, 0) / errors.length
        expect(Math.abs(bias)).toBeLessThan(0.006)
      }
  })

  it('are taken for means when no end of work is seen', () => {
    const { trace, world } = loopedWorld(1, false, 1)
    const [first] = world.truth.runs
    const from = trace.timesS.findIndex((timeS) => timeS > first!.startS + 3)
    const to = trace.timesS.findIndex((timeS) => timeS > first!.endS - 3)
    const inside = {
      ...trace,
      timesS: trace.timesS.slice(from, to),
      powerW: trace.powerW.slice(from, to),
      temperatureC: null,
      clockHz: null,
    }
    for (const load of findLoads(inside)) expect(load.showsInstants).toBe(false)
  })
})
