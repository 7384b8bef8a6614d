import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { withFormulas } from '../../src/log/formula/withFormulas.js'
import { parseLog } from '../../src/log/parseLog.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { findLoads } from '../../src/segment/findLoads.js'
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
