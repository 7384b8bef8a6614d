import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import type { LogOptions } from '../../src/log/trace.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { HoldLabel, Load } from '../../src/segment/load.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { root } from '../cli/commandLine.js'

// Our own recordings of a real card (tests/recordings). Truth: the times at which the tasks were started and ended, and the card's own column of reasons.

function loadsOf(name: string, options: LogOptions = {}): readonly Load[] {
  const { trace } = parseLog(readFileSync(join(root, 'tests/recordings', name)), options)
  return findLoads(trace)
}

/** A load as it was run: when (s), in how many passes, and the causes that its columns leave possible. */
interface Told {
  readonly fromS: number
  readonly toS: number
  readonly passes: readonly [number, number]
  readonly heldBy: readonly HoldLabel[]
}

const told = (
  fromS: number,
  toS: number,
  passes: readonly [number, number],
  ...heldBy: readonly HoldLabel[]
): Told => ({ fromS, toS, passes, heldBy })

/** Tasks start and end within so many seconds of what power shows: the card ramps up and winds down. */
const EDGE_S = 4

function expectLoads(found: readonly Load[], truth: readonly Told[]): void {
  expect(found).toHaveLength(truth.length)
  truth.forEach(({ fromS, toS, passes, heldBy }, index) => {
    const load = found[index]!
    expect(Math.abs(load.startS - fromS)).toBeLessThan(EDGE_S)
    expect(Math.abs(load.endS - toS)).toBeLessThan(EDGE_S)
    expect(load.runs.length).toBeGreaterThanOrEqual(passes[0])
    expect(load.runs.length).toBeLessThanOrEqual(passes[1])
    expect(heldBy).toContain(load.stages.at(-1)!.heldBy.label)
  })
}

/** Loads of a table that is cut from a longer one, in seconds of that. */
function fromStart(loads: readonly Load[]): readonly Load[] {
  const shift = (load: Load): Load => ({ ...load, startS: load.startS + CUT_S, endS: load.endS + CUT_S })
  return loads.map(shift)
}
const CUT_S = 195

const OPEN = ['demand', 'undetermined'] as const

describe('a recording of a real card', () => {
  it('that heat pulls down and that rises again has not settled, and lies where its late samples lie', () => {
    const loads = loadsOf('card-hot.csv', { reasonBits: '1=idle 4=power 32=heat 64=heat' })
    expectLoads(loads, [
      told(26.2, 169.7, [1, 1], 'heat'),
      told(203.7, 260.4, [4, 5], 'power-limit', ...OPEN),
      told(288.6, 383.6, [6, 7], 'heat'),
      told(407.6, 447.5, [1, 1], ...OPEN),
    ])
    const [hot] = loads
    expect(hot!.sustained.reached).toBe(false)
    expect(hot!.stages.map(({ shape }) => shape)).toContain('rise')
    expect(hot!.sustained.levelW.value).toBeGreaterThan(585)
    expect(hot!.sustained.levelW.value).toBeLessThan(705)
  })

  it('at its set limit in rounds is held by it, and tasks that ask for less are not', () => {
    expectLoads(loadsOf('card-rounds.csv'), [
      told(20.6, 148.8, [7, 7], 'power-limit'),
      told(178.8, 233.6, [1, 1], ...OPEN),
      told(242.8, 342.8, [1, 1], ...OPEN),
    ])
  })

  it('with four tasks has four loads, of which the one at the limit has settled', () => {
    const loads = loadsOf('card-tasks.csv')
    expectLoads(loads, [
      told(20.3, 65.3, [1, 1], ...OPEN),
      told(100.3, 250.3, [1, 1], 'power-limit'),
      told(256.3, 348, [1, 5], ...OPEN),
      told(383.4, 443.4, [1, 1], ...OPEN),
    ])
    const { reached, levelW } = loads[1]!.sustained
    expect(reached).toBe(true)
    expect(Math.abs(levelW.value / 690.3 - 1)).toBeLessThan(0.015)
  })

  it('is told by its own columns where one table holds two, and by its reason where that names none', () => {
    const [own, other] = ['card 0 power [W]', 'card 1 power [W]'].map((power) =>
      loadsOf('two-cards.csv', { power }),
    )
    expectLoads(fromStart(own!), [
      told(210.8, 270.8, [1, 1], 'demand'),
      told(295.8, 380, [9, 9], 'power-limit'),
      told(413, 483, [1, 1], 'power-limit'),
      told(508, 578, [1, 1], 'demand'),
    ])
    // Within 2 % of the limit, and yet the task's own: the card names no reason and runs at its highest clock.
    expect(own![3]!.stages.map(({ heldBy }) => heldBy.label)).toEqual(['demand', 'demand'])
    expectLoads(fromStart(other!), [
      told(240.8, 330.8, [1, 1], 'power-limit'),
      told(370.8, 470.9, [1, 1], 'power-limit'),
    ])
  })

  it('lets rounds that are flat from their beginning sustain what they draw, where a log has power alone', () => {
    const lines = readFileSync(join(root, 'tests/recordings/two-cards.csv'), 'utf8').trimEnd().split('\n')
    const bare = lines.map((line) => line.split(',').slice(0, 2).join(',')).join('\n')
    const rounds = findLoads(parseLog(bare).trace)[1]!
    expect(rounds.stages.at(-1)!.heldBy.label).toBe('undetermined')
    expect(Math.abs(rounds.sustained.levelW.value / 692 - 1)).toBeLessThan(0.01)
    expect(rounds.sustained.levelW.low).toBeGreaterThan(680)
  })

  it('in rounds of two tasks is one load, sampled unevenly, and says what its runs draw on average', () => {
    const loads = loadsOf('card-mixed.tsv')
    expectLoads(loads, [
      told(34.8, 164.8, [1, 1], 'power-limit'),
      told(224.8, 329, [6, 6], 'demand'),
      told(362.9, 423, [1, 1], 'demand'),
      told(430.9, 476, [1, 1], 'demand'),
      told(loads[4]!.startS, 541, [1, 1], ...OPEN),
    ])
    // Its weak beginning, an eighth of the time busy, may pass for idle.
    expect(Math.abs(loads[4]!.startS - 501)).toBeLessThan(10)
    expect(concludeStages(loads[1]!)).toMatch(
      /\(5\d\d.W on average in its runs, each of which asks for more first\)/,
    )
  })

  // What was run: a copy and then products; work of 1.5 s with waits of 0.4 s; five rounds; products of five sizes; a copy that products
  // join and leave; work half of the time. Sampled once a second, work that waits within the second is aliased.
  const phases = (...columns: readonly number[]) => {
    const lines = readFileSync(join(root, 'tests/recordings/card-phases.csv'), 'utf8').trimEnd().split('\n')
    const some = lines.map((line) => columns.map((column) => line.split(',')[column]).join(','))
    return findLoads(parseLog(some.join('\n')).trace)
  }

  it('of six loads with even pauses makes no loop of the last three', () => {
    const loads = phases(0, 1, 4)
    expect(loads.map(({ endS }) => Math.round(endS / 10))).toEqual([12, 23, 33, 43, 52, 59])
    expect(loads.map(({ runs }) => runs.length)).toEqual([1, 4, 5, 1, 1, 1])
  })

  it('lets nothing that a task asked for be held by a limit, where no column tells what the card could have done', () => {
    const labels = [phases(0, 1), phases(0, 1, 4)].flat().flatMap(({ stages }) => stages)
    expect(labels.filter(({ heldBy }) => heldBy.label === 'power-limit')).toEqual([])
  })

  it('takes the power of an energy counter for means: no fall lies in the last seconds of a load', () => {
    const loads = phases(0, 3)
    expect(loads).toHaveLength(6)
    expect(loads.flatMap(({ stages }) => stages).filter(({ shape }) => shape === 'decay')).toEqual([])
  })

  it('takes work that waits at uneven times for one load', () => {
    const loads = phases(0, 2)
    expect(loads).toHaveLength(6)
    expect(Math.abs(loads[1]!.startS - 140.4)).toBeLessThan(EDGE_S)
    expect(Math.abs(loads[1]!.endS - 231.3)).toBeLessThan(EDGE_S)
  })

  // What was run: a task in eight steps from 20 to 132 s, each asking for more, which the limit holds from 48 s on; work of 0.06 s and waits of
  // 0.09 s by turns from 162 to 252 s, on average 453 W.
  const bursts = (every: number, ...columns: readonly number[]) => {
    const lines = readFileSync(join(root, 'tests/recordings/card-bursts.csv'), 'utf8').trimEnd().split('\n')
    const some = lines.filter((_, k) => k === 0 || k % every === 1 % every)
    const table = some.map((line) => columns.map((column) => line.split(',')[column]).join(','))
    return findLoads(parseLog(table.join('\n')).trace)
  }

  it('that works by turns faster than once a second is one load at its mean power, as means and as instants', () => {
    for (const loads of [bursts(1, 0, 1, 3), bursts(5, 0, 1), bursts(5, 0, 2)]) {
      expect(loads).toHaveLength(2)
      expect(Math.abs(loads[1]!.startS - 162.2)).toBeLessThan(EDGE_S)
      expect(Math.abs(loads[1]!.endS - 252.2)).toBeLessThan(EDGE_S)
      expect(loads[1]!.runs).toHaveLength(1)
      for (const { levelW } of loads[1]!.stages) expect(Math.abs(levelW.value / 453 - 1)).toBeLessThan(0.03)
    }
  })

  it('whose temperature swings with its work is not said to be held by heat', () => {
    const labels = bursts(1, 0, 1, 3).flatMap(({ stages }) => stages.map(({ heldBy }) => heldBy.label))
    expect(labels).not.toContain('heat')
  })

  it('whose power dips for seconds and comes back stays one load, and no limit is said of the dip', () => {
    const [load] = bursts(5, 0, 2)
    expect(load!.startS).toBeLessThan(22)
    expect(load!.endS).toBeGreaterThan(130)
    expect(load!.stages.map(({ heldBy }) => heldBy.label)).not.toContain('power-limit')
  })
})

describe('work that comes and goes many times a second, read once a second', () => {
  const table = readFileSync(join(root, 'tests/recordings/card-strobe.csv'), 'utf8').trimEnd().split('\n')
  const read = (...columns: readonly number[]) =>
    parseLog(table.map((line) => columns.map((column) => line.split(',')[column]).join(',')).join('\n')).trace
  const [instants, energy] = [findLoads(read(0, 1)), findLoads(read(0, 2))]
  // From 12, 55 and 141 s on, for 30 s each: 448, 500 and 332 W by the energy counter.
  const strobes = [
    [12, 448],
    [55, 500],
    [141, 332],
  ] as const

  it('is one load of one run at a mean that is known roughly, as instants show it', () => {
    for (const [fromS, meanW] of strobes) {
      const load = instants.find(({ startS }) => Math.abs(startS - fromS) < EDGE_S)!
      expect(load.unresolved).toBe(true)
      expect(Math.abs(load.endS - fromS - 30)).toBeLessThan(EDGE_S)
      expect(load.runs).toHaveLength(1)
      expect(load.sustained.levelW.low).toBeLessThan(meanW)
      expect(load.sustained.levelW.high).toBeGreaterThan(meanW)
    }
  })

  it('leaves work alone that does not come and go', () => {
    expect(instants.find(({ startS }) => Math.abs(startS - 184) < EDGE_S)!.unresolved).toBeUndefined()
  })

  it('is held by nothing that the log shows while there is less and less of it', () => {
    const temperature = findLoads(read(0, 2, 3))
    const load = temperature.find(({ startS }) => Math.abs(startS - 384) < EDGE_S)!
    expect(load.stages.map(({ heldBy }) => heldBy.label)).not.toContain('heat')
  })

  it('is known well by the energy counter', () => {
    expect(energy.filter(({ unresolved }) => unresolved)).toEqual([])
    for (const [fromS, meanW] of strobes) {
      const load = energy.find(({ startS }) => Math.abs(startS - fromS) < EDGE_S)!
      expect(Math.abs(load.stages[0]!.levelW.value / meanW - 1)).toBeLessThan(0.02)
    }
  })
})

describe('a task in waves, and one that asks for more and more', () => {
  // Busy for 15 to 95 % of the time, a wave each 20 s, from 15.4 to 115.5 s; then for 10 to 95 %, rising evenly, from 135.5 to 215.6 s.
  const [waves, ramp] = loadsOf('card-waves.csv')

  it('are told by the mean of the waves’ upper parts, which have no level of their own, down to that of whole waves', () => {
    expect(waves!.runs).toHaveLength(5)
    const { levelW } = waves!.sustained
    const means = waves!.runs.map(({ meanW }) => meanW)
    expect(levelW.value).toBeGreaterThan(Math.min(...means))
    expect(levelW.value).toBeLessThan(Math.max(...means))
    expect(levelW.high).toBeLessThan(1.05 * levelW.value)
    // Where a wave begins and ends is open: down to the mean of whole waves, by the log itself.
    const { trace } = parseLog(readFileSync(join(root, 'tests/recordings/card-waves.csv')))
    const inside = trace.powerW.filter((_, i) => trace.timesS[i]! >= 35.2 && trace.timesS[i]! <= 95.2)
    expect(
      Math.abs(levelW.low / (inside.reduce((sum, watts) => sum + watts, 0) / inside.length) - 1),
    ).toBeLessThan(0.02)
  })

  it('are not said to come to more than as much again as the power came up by', () => {
    const { reached, levelW } = ramp!.sustained
    expect(reached).toBe(false)
    expect(levelW.low).toBeGreaterThan(600)
    expect(levelW.high).toBeLessThan(1150)
  })
})
