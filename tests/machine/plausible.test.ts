import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { checkFiles } from '../../src/audit/checkFiles.js'
import { readStages } from '../../src/machine/readStages.js'
import { samplingInterval } from '../../src/predict/plan/samplingInterval.js'
import { sayWarning } from '../../src/show/text/sayWarning.js'
import { root, runInside } from '../cli/commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-plausible-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Half a minute of idle, ten of work, half a minute of idle. */
function put(
  name: string,
  { head = 'time_s,power_w', scale = 1, step = 1, lost = (_: number): boolean => false } = {},
) {
  const rows = Array.from({ length: 660 }, (_, k) => k)
    .filter((k) => !lost(k))
    .map((k) => {
      const watts = (k < 30 || k >= 630 ? 4 : 40) + ((k * 7) % 5) / 10
      return `${k * step},${(scale * watts).toFixed(1)}`
    })
  const path = join(folder, name)
  writeFileSync(path, `${head}\n${rows.join('\n')}\n`)
  return path
}

const codes = async (path: string) => {
  const [file] = await checkFiles([path])
  return file!.findings.filter(({ severity }) => severity === 'unsafe').map(({ code }) => code)
}

describe('readings that no machine gives', () => {
  it('are unsafe to check, and no result of any other command: watts that are milliwatts', async () => {
    const path = put('mw.csv', { scale: 1000 })
    expect(await codes(path)).toContain('power-implausible')
    await expect(readStages(path)).rejects.toMatchObject({ code: 'power-implausible' })
    const named = await readStages(put('named.csv', { scale: 1000, head: 'time_s,power_mw' }))
    expect(named.loads[0]!.sustained.levelW.value).toBeCloseTo(40.2, 1)
  })

  it('are unsafe to check: seconds that are milliseconds', async () => {
    expect(await codes(put('ms.csv', { step: 1000 }))).toContain('times-implausible')
    expect(await codes(put('named-ms.csv', { step: 1000, head: 'time_ms,power_w' }))).not.toContain(
      'times-implausible',
    )
  })
})

describe('a gap in a load', () => {
  it('that check calls unsafe is told by stages', async () => {
    const path = put('gap.csv', { lost: (k) => k > 200 && k < 300 })
    expect(await codes(path)).toContain('gap')
    const { warnings } = await readStages(path)
    expect(warnings).toContainEqual({ code: 'gap-in-load', atS: 200, forS: 100 })
  })

  it('between loads is no matter', async () => {
    const path = put('before.csv', { lost: (k) => k > 2 && k < 25 })
    expect(await codes(path)).not.toContain('gap')
    expect((await readStages(path)).warnings.map(({ code }) => code)).not.toContain('gap-in-load')
  })
})

describe('bad input with --json', () => {
  it.each([
    [['fit', join(folder, 'none.yaml')], { code: 'file-missing', file: join(folder, 'none.yaml') }],
    [['fit', '--bogus'], { code: 'command-line', file: null }],
    [['stages', put('mw2.csv', { scale: 1000 })], { code: 'power-implausible' }],
  ])('is a document on stdout, and exit status 2: %j', async (words, error) => {
    const { status, stdout, stderr } = await runInside([...words, '--json'])
    expect(status).toBe(2)
    expect(stderr).not.toBe('')
    const document = JSON.parse(stdout) as object
    expect(document).toMatchObject({ tool: 'holdwatt', command: words[0], error })
  })
})

describe('the interval to sample at', () => {
  it('that plan asks for is one that check has nothing against', () => {
    for (const burstS of [0.4, 2, 5, 7, 11, 30, 90])
      expect(samplingInterval(burstS) * 3.5).toBeLessThanOrEqual(Math.max(burstS, 0.1 * 3.5))
  })
})

describe('what a chip or a room is asked', () => {
  const sheet = 'samples/heron.yaml'
  it.each([
    [['project', sheet, '--sustained', '45kW'], /expected 4\.\d+ W to \d+ W for .*, got 45000 W/],
    [['project', sheet, '--sustained', '60W', '--ambient', '300degC'], /-40 to 60 °C, got 300 °C/],
    [['compare', sheet, 'samples/ibis.yaml', '--at', '5000W'], /got 5000 W/],
  ])('is refused beyond bounds, which are told: %j', async (words, said) => {
    const { status, stderr } = await runInside(words)
    expect([status, stderr]).toEqual([2, expect.stringMatching(said)])
  })
})

describe('times of runs', () => {
  const sheet = (name: string, runs: string) => {
    const path = join(folder, name)
    const head =
      'machine: Wren 13\nchip: Wrentit\nchassis: Wren flat\nworkload: { name: render, score: points, better: higher }\n'
    put('runs.csv')
    writeFileSync(path, `${head}trials:\n  - log: runs.csv\n    runs:\n${runs}`)
    return path
  }
  const run = (start: number, end: number) =>
    `      - { start: ${start.toFixed(1)}, end: ${end.toFixed(1)}, score: 1000 }\n`

  it('rounded to a tenth of a second leave no pauses between runs', async () => {
    const path = sheet('touching.yaml', [30, 130, 230, 330, 430].map((s) => run(s, s + 99.9)).join(''))
    const { stdout } = await runInside(['fit', path, '--json'])
    expect(JSON.parse(stdout)).toMatchObject({ loop: { gapS: 0 } })
  })

  it('that overlap are refused at their line', async () => {
    const { status, stderr } = await runInside(['fit', sheet('overlap.yaml', run(30, 130) + run(100, 200))])
    expect([status, stderr]).toEqual([2, expect.stringMatching(/overlap\.yaml:9: .*overlap/)])
  })
})

it('a load that comes and goes between instants is warned of, with how far these are apart; the same energy is not', async () => {
  const codesOf = async (power: string) => {
    const { warnings } = await readStages(join(root, 'tests/recordings/card-strobe.csv'), { power })
    return warnings.filter(({ code }) => code === 'samples-too-far-apart')
  }
  const warned = await codesOf('instant power [W]')
  expect(warned).toHaveLength(3)
  expect(sayWarning(warned[0]!)).toMatch(/samples that are 1\ss apart.*Log energy, or means/)
  expect(await codesOf('energy [mJ]')).toEqual([])
})
