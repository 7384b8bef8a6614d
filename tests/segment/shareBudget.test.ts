import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { withFormulas } from '../../src/log/formula/withFormulas.js'
import { parseLog } from '../../src/log/parseLog.js'
import type { Trace } from '../../src/log/trace.js'
import { correlationTime } from '../../src/numeric/statistics/correlationTime.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { studentTQuantile } from '../../src/numeric/statistics/studentT.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'
import { shareBudget } from '../../src/segment/shareBudget.js'
import { runInside } from '../cli/commandLine.js'

/** A game on a budget of 60 W: after a burst the graphics take what the processor leaves. */
function sharedLog(header: string, { foreign = false } = {}): string {
  const random = seededRandom(17)
  const rows = Array.from({ length: 700 }, (_, i) => {
    const total = i < 20 || i >= 680 ? 5 : i < 50 ? 84 : 60
    const graphics = total === 5 ? 1 : 18 + 2 * Math.sin(i / 15) + 0.3 * random.normal()
    const processor = total === 5 ? 2 : total - 6 - (foreign ? 0 : graphics) + 0.2 * random.normal()
    return [i, total + 0.1 * random.normal(), processor, graphics].map((value) => value.toFixed(2)).join(',')
  })
  return `${header}\n${rows.join('\n')}\n`
}

const sharesOf = (text: string) => {
  const { trace } = parseLog(text)
  const [load] = findLoads(trace)
  return shareBudget(trace, load!, load!.stages.at(-1)!)
}

describe('shares of a stretch', () => {
  type Parts = { processorW: number[]; graphicsW: number[] }
  const timed = (timesS: number[], powerW: number[], parts: Parts | null) =>
    ({
      timesS: Float64Array.from(timesS),
      powerW: Float64Array.from(powerW),
      intervalS: 1,
      parts: parts && {
        processorW: Float64Array.from(parts.processorW),
        graphicsW: Float64Array.from(parts.graphicsW),
      },
    }) as unknown as Trace
  const loadOf = (...runs: [number, number][]) =>
    ({
      startS: runs[0]![0],
      endS: runs.at(-1)![1],
      runs: runs.map(([startS, endS]) => ({ startS, endS })),
    }) as unknown as Load
  /** Ten samples: 60 W, of which the graphics leave the processor more and more. */
  const TIMES = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
  const TOTAL = TIMES.map(() => 60)
  const GRAPHICS = [22, 21, 20, 19, 18, 17, 16, 15, 14, 13]
  const PARTS = { graphicsW: GRAPHICS, processorW: GRAPHICS.map((w) => 55 - w) }
  const LOAD = loadOf([0, 10])
  const share = (parts: Partial<Parts> = {}, range = { startS: 0, endS: 10 }, load = LOAD) =>
    shareBudget(timed(TIMES, TOTAL, { ...PARTS, ...parts }), load, range)

  it('are means over time: a sample stands for the interval that ends at it', () => {
    const times = [1, 2, 3, 4, 5, 9, 10, 11, 12, 13]
    const shares = shareBudget(timed(times, TOTAL.with(5, 70), PARTS), loadOf([0, 13]), {
      startS: 0,
      endS: 13,
    })!
    expect(shares.totalW).toBeCloseTo((9 * 60 + 4 * 70) / 13, 9)
    expect(shares.graphicsW.value).toBeCloseTo((175 - 17 + 4 * 17) / 13, 9)
    expect(shares.processorW.value).toBeCloseTo(55 - (175 - 17 + 4 * 17) / 13, 9)
    expect(shares.restW.value).toBeCloseTo((9 * 5 + 4 * 15) / 13, 9)
  })

  it("have Student's intervals, of as many values as count", () => {
    const jitter = GRAPHICS.map((_, i) => 18 + [0.4, -0.3, 0.1, 0.5, -0.6, 0.2, -0.1, -0.4, 0.3, -0.1][i]!)
    const { graphicsW, restW } = share({ graphicsW: jitter, processorW: jitter.map((w) => 55 - w) })!
    const left = jitter.map((w) => w - 18)
    const deviation = Math.sqrt(left.reduce((sum, each) => sum + each ** 2, 0) / 9)
    const effective = 10 / correlationTime(left)
    const half = (studentTQuantile(0.95, effective - 1) * deviation) / Math.sqrt(effective)
    expect(graphicsW.high - graphicsW.value).toBeCloseTo(half, 6)
    expect(graphicsW.value - graphicsW.low).toBeCloseTo(half, 6)
    expect(restW.high - restW.low).toBeCloseTo(0, 9)
  })

  it('count samples that lie in the stretch and in a run as a whole, and hold all three powers', () => {
    const meanOf = (values: number[]) => values.reduce((sum, w) => sum + w, 0) / values.length
    expect(share({}, { startS: 3, endS: 8 })!.graphicsW.value).toBeCloseTo(meanOf(GRAPHICS.slice(3, 8)), 9)
    expect(share({}, { startS: 2.5, endS: 8.5 })!.graphicsW.value).toBeCloseTo(
      meanOf(GRAPHICS.slice(3, 8)),
      9,
    )
    const runs = loadOf([0, 4], [6, 10])
    const both = [...GRAPHICS.slice(0, 4), ...GRAPHICS.slice(6)]
    expect(share({}, { startS: 0, endS: 10 }, runs)!.graphicsW.value).toBeCloseTo(meanOf(both), 9)
    const gap = share({ graphicsW: GRAPHICS.with(2, Number.NaN) })!
    expect(gap.graphicsW.value).toBeCloseTo(meanOf(GRAPHICS.toSpliced(2, 1)), 9)
    expect(gap.totalW).toBe(60)
  })

  it('are not told by fewer than five samples, nor where there are no parts', () => {
    expect(share({}, { startS: 2, endS: 7 })).toBeDefined()
    expect(share({}, { startS: 2, endS: 6 })).toBeUndefined()
    expect(shareBudget(timed(TIMES, TOTAL, null), LOAD, LOAD)).toBeUndefined()
  })

  it('are not told where parts exceed the budget by more than 3 % in more than one sample of ten', () => {
    const over = (...places: number[]) =>
      share({ processorW: PARTS.processorW.map((w, i) => (places.includes(i) ? 62 - GRAPHICS[i]! : w)) })
    expect(over(4)).toBeDefined()
    expect(over(4, 5)).toBeUndefined()
    const slightly = (sumW: number) => share({ processorW: GRAPHICS.map((w) => sumW - w) })
    expect(slightly(61.7)).toBeDefined()
    expect(slightly(61.9)).toBeUndefined()
  })

  it('are not told where a part moves, and what is left of the budget moves more for it', () => {
    const still = (watts: number) => TIMES.map(() => watts)
    expect(share({ processorW: still(30) })).toBeUndefined()
    expect(share({ graphicsW: still(20) })).toBeUndefined()
    // One that hardly moves may be one or not.
    expect(share({ processorW: still(30), graphicsW: still(20) })).toBeDefined()
    expect(share({ processorW: still(30), graphicsW: TIMES.map((_, i) => 20 + 0.2 * (i % 2)) })).toBeDefined()
    expect(share({ processorW: still(30), graphicsW: TIMES.map((_, i) => 20 + 3 * (i % 2)) })).toBeUndefined()
  })
})

describe('a budget that processor and graphics share', () => {
  it.each([
    'time_s,Package power [W],CPU power [W],GPU power [W]',
    'time_s,CPU Package Power [W],IA Cores Power [W],GT Cores Power [W]',
    'time_s,Total [W],processor [W],graphics [W]',
  ])('is divided into parts that add up (%s)', (header) => {
    const shares = sharesOf(sharedLog(header))!
    const { totalW, processorW, graphicsW, restW } = shares
    expect(processorW.value + graphicsW.value + restW.value).toBeCloseTo(totalW, 9)
    expect(totalW).toBeCloseTo(60, 1)
    for (const [estimate, truth] of [
      [graphicsW, 18],
      [processorW, 36],
      [restW, 6],
    ] as const) {
      expect(estimate.low).toBeLessThan(truth + 0.2)
      expect(estimate.high).toBeGreaterThan(truth - 0.2)
      expect(estimate.high - estimate.low).toBeLessThan(2)
    }
  })

  it('is a sum that the user wrote', async () => {
    const text = sharedLog('time_s,board [W],CPU power [W],GPU power [W]')
    const { trace } = parseLog(text, await withFormulas({ power: 'cpu + gpu' }))
    const [load] = findLoads(trace)
    const shares = shareBudget(trace, load!, load!)!
    expect(shares.restW.value).toBeCloseTo(0, 9)
    expect(shares.graphicsW.value / shares.totalW).toBeCloseTo(18 / 54, 1)
  })

  it.each([
    ['a log without parts', 'time_s,Package power [W],idle share,note'],
    ['a card of its own beside a processor’s package', 'time_s,CPU Package [W],cores [W],GPU power [W]'],
    ['a power that is one of the parts', 'time_s,CPU power [W],fan,GPU power [W]'],
    ['parts of which there are several', 'time_s,Package [W],CPU 0 [W],CPU 1 [W]'],
  ])('is not told of %s', (_, header) => {
    expect(sharesOf(sharedLog(header))).toBeUndefined()
  })

  it('is not told where the graphics’ power moves without the budget’s or is above it', () => {
    const header = 'time_s,Package power [W],CPU power [W],GPU power [W]'
    expect(sharesOf(sharedLog(header, { foreign: true }))).toBeUndefined()
  })

  it('stands in stages and explain, and only there where the log has it', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'holdwatt-shares-'))
    const path = (name: string) => join(folder, name)
    const log = sharedLog('time_s,Package power [W],CPU power [W],GPU power [W]')
    writeFileSync(path('with.csv'), log)
    writeFileSync(path('without.csv'), log.replace(/^(.*?,.*?),.*$/gm, '$1'))
    for (const name of ['with', 'without']) {
      const sheet = `machine: ${name}\nchip: Kestrel 16\nchassis: ${name}\nworkload: { name: game, score: fps, better: higher }
trials: [ { log: ${name}.csv, runs: [ { start: 20 s, end: 50 s, score: 70 }, { start: 60 s, end: 300 s, score: 60 }, { start: 300 s, end: 680 s, score: 60.2 } ] } ]\n`
      writeFileSync(path(`${name}.yaml`), sheet)
    }
    const said = async (...words: string[]) => (await runInside(words)).stdout.replace(/\s+/g, ' ')
    expect(await said('stages', path('with.csv'))).toMatch(
      /In the last stage the graphics took 1[78]\.\d W \(.*?\) of 60\.0 W, the processor 3[56]\.\d W/,
    )
    expect(await said('stages', path('without.csv'))).not.toMatch(/graphics/)
    const json = JSON.parse(await said('stages', path('with.csv'), '--json')) as {
      loads: { stages: { budget: { graphicsW: { value: number } } }[] }[]
    }
    expect(json.loads[0]!.stages.at(-1)!.budget.graphicsW.value).toBeCloseTo(18, 0)
    expect(await said('stages', path('without.csv'), '--json')).not.toMatch(/"budget"/)
    expect(await said('stages', path('with.csv'), '--csv')).toMatch(
      /graphics \(W\),graphics low,graphics high/,
    )
    const gap = await said('explain', path('with.yaml'), path('without.yaml'))
    expect(gap).toMatch(/In with the graphics took 1[78]\.\d W/)
    expect(gap).not.toMatch(/In without/)
  })
})
