import { existsSync } from 'node:fs'
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Estimate } from '../../../src/numeric/statistics/estimate.js'
import type { Review } from '../../../src/predict/review/reviewMachines.js'
import { sayEstimate, sayScore } from '../../../src/show/figures/sayEstimate.js'
import { root, runInside } from '../commandLine.js'

const SHEETS = ['heron-14', 'heron-12', 'ibis-15'].map((name) => join(root, `samples/review/${name}.yaml`))

const isBuilt = existsSync(fileURLToPath(new URL('../../../dist/page/pageScript.js', import.meta.url)))
if (!isBuilt)
  process.stderr.write('\nLeft out: tests/cli/commands/pageReview.test.ts (run `npm run build` first)\n')

describe.skipIf(!isBuilt)('holdwatt page of a whole review', () => {
  let folder: string
  let page: string
  let tables: ReadonlyMap<string, readonly (readonly string[])[]>
  let review: Review & { readonly text: readonly string[] }
  const inside = (name: string) => join(folder, name)

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-review-'))
    const words = ['--charts', inside('pictures'), '--method', inside('method.md')]
    const { status, stderr } = await runInside(['page', ...SHEETS, '--out', inside('r.html'), ...words])
    expect(status).toBe(0)
    expect(stderr).not.toMatch(/Fault/)
    page = await readFile(inside('r.html'), 'utf8')
    tables = tablesOf(page)
    review = JSON.parse((await runInside(['review', ...SHEETS, '--json'])).stdout) as typeof review
  }, 120_000)

  afterAll(async () => {
    await rm(folder, { recursive: true, force: true })
  })

  it('quotes the sentences of `review`, word for word', () => {
    const text = textOf(page)
    expect(review.text.length).toBeGreaterThan(8)
    for (const paragraph of review.text) expect(text).toContain(plain(paragraph))
  })

  it.each(['mains', 'battery'])('has the scores of `review --json` to the last digit: %s', (mode) => {
    const title = mode === 'mains' ? 'Mains' : 'Battery'
    const results = review.results.filter((result) => result.mode === mode)
    expect(tables.get(`${title}: as tested`)).toEqual(
      results.map((result) => [
        `${nameOf(result)}, ${result.unit}`,
        ...result.machines.map(({ score, powerW }) => {
          return plain(`${sayScore(score)}${powerW === null ? '' : `\n${`at ${powerW.toFixed(1)} W`}`}`)
        }),
      ]),
    )
    const powered = results.filter(({ atW }) => atW !== null)
    for (const [name, key] of [
      ['score of the chips at equal power', 'score'],
      ['score per watt at equal power (of a time: runs per watt-hour)', 'perWatt'],
    ] as const) {
      expect(tables.get(`${title}: ${name}`)).toEqual(
        powered.map((result) => [
          `${nameOf(result)}, ${result.unit}\nat ${result.atW} W`,
          ...result.machines.map(({ atEqualPower: point }) =>
            plain(`${sayScore(point![key])}${point!.extrapolated ? '*' : ''}`),
          ),
        ]),
      )
    }
    expect(tables.get(`${title}: how much faster 10 % more power would make each, %`)).toEqual(
      powered.map((result) => [
        nameOf(result),
        ...result.machines.map(({ elasticity, dependsOnPower }) => {
          if (dependsOnPower === 'task') return 'needs no more power'
          const gain = each(elasticity!, (value) => 100 * (1.1 ** value - 1))
          const verdict = { yes: '', no: '\nhardly any', unclear: '\nunclear' }[dependsOnPower!]
          return `${signed(gain)}${verdict}`
        }),
      ]),
    )
  })

  it('has every pair and every cause of `review --json` to the last digit', () => {
    let pairs = 0
    for (const { a, b, mode, atEqualPower, parts, asTestedThere } of review.means) {
      const title = mode === 'mains' ? 'Mains' : 'Battery'
      const found = review.results.flatMap((result) => {
        const pair = result.pairs.find((each) => each.a === a && each.b === b)
        return pair === undefined || result.mode !== mode ? [] : [{ result, pair }]
      })
      const figure = [...tables].find(
        ([name]) => name.startsWith(`${title}: ${a} is `) && name.includes(`than ${b}`),
      )
      const explains = { nothing: 'none of it', something: 'some of it', unclear: 'unclear' }
      expect(figure![1].slice(0, -1)).toEqual(
        found.map(({ result, pair }) => [
          nameOf(result),
          signed(percent(pair.asTested)),
          pair.atEqualPower === null ? '–' : signed(percent(pair.atEqualPower)),
          pair.powerExplains === null ? 'not known' : explains[pair.powerExplains],
        ]),
      )
      expect(tables.get(`${title}: what makes ${a} faster or slower than ${b}, %`)).toEqual([
        ...found
          .filter(({ pair }) => pair.parts !== null)
          .map(({ result, pair }) => [
            nameOf(result),
            signed(percent(pair.asTested)),
            ...pair.parts!.map((part) => signed(part.percent)),
            explains[pair.powerExplains!],
          ]),
        [
          `Geometric mean of ${atEqualPower!.workloads.length}`,
          signed(percent(asTestedThere!)),
          ...parts!.map((part) => signed(part.percent)),
          '',
        ],
      ])
      pairs += found.length
    }
    expect(pairs).toBe(3 * 17)
  })

  it('has the means and the power modes of `review --json` to the last digit, and says what means leave out', () => {
    expect(tables.get('How much faster the first machine is than the second, %')).toEqual(
      review.means.map(({ a, b, mode, asTested, atEqualPower }) => [
        `${mode === 'mains' ? 'Mains' : 'Battery'}: ${a} over ${b}`,
        signed(percent(asTested.ratio)),
        String(asTested.workloads.length),
        signed(percent(atEqualPower!.ratio)),
        String(atEqualPower!.workloads.length),
      ]),
    )
    const share = (ratio: Estimate) =>
      plain(
        sayEstimate(
          each(ratio, (value) => 100 * value),
          '',
          'percent',
        ),
      )
    const rows = tables.get('Battery: speed, in % of that in mains')!
    expect(rows).toHaveLength(8 + 1)
    expect(rows.at(-1)).toEqual(['Geometric mean of 6', ...review.modes.map(({ ratio }) => share(ratio))])
    rows.slice(0, -1).forEach((row, index) => {
      expect(row.slice(1)).toEqual(review.modes.map(({ results }) => share(results[index]!.ratio)))
    })
    expect(textOf(page)).toMatch(/Mains: left out of means: .*nest copy \(no power was logged/)
    expect(textOf(page)).toMatch(/Battery: left out of means: low of marsh flight/)
  })

  it('writes a picture for each pair and mode with its alternative text, and the method to paste', async () => {
    const pictures = await readdir(inside('pictures'))
    expect(pictures.filter((name) => name.endsWith('.svg'))).toHaveLength(6)
    expect(pictures).toContain('review-mains-heron-14-ibis-15.png')
    const markdown = await readFile(inside('pictures/charts.md'), 'utf8')
    expect(markdown.match(/^!\[.{200,}\]\(review-[a-z0-9-]+\.png\)$/gm)).toHaveLength(6)
    expect(markdown).toMatch(/nest copy: .* as tested, power not known/)
    const method = await readFile(inside('method.md'), 'utf8')
    expect(method.match(/\b[0-9a-f]{64}\b/g)).toHaveLength(9)
    expect(method).toMatch(
      /Heron 14 \(Kestrel 16, Heron 14 body\): power from .* 7 workloads; .* 63 scored runs/,
    )
  })

  it('compares at the power that somebody chose, says so, and repeats it; only of a review', async () => {
    const noted = (name: string, score: number, powerW: number) => ({
      ...{ machine: name, chip: `chip of ${name}`, chassis: name },
      workloads: ['render', 'encode'].map((task) => ({ name: task, score: 'points', better: 'higher' })),
      trials: ['render', 'encode'].map((task) => ({
        ...{ workload: task, noted: [{ power: `${powerW} W` }] },
        runs: [score, score + 1].map((each, run) => ({ score: each, after: `${90 * run} s` })),
      })),
    })
    const sheets = [noted('Heron', 100, 40), noted('Ibis', 110, 50)]
    const paths = sheets.map(({ machine }) => inside(`${machine}.yaml`))
    await Promise.all(paths.map((path, index) => writeFile(path, JSON.stringify(sheets[index]))))
    expect((await runInside(['page', ...paths, '--out', inside('at.html'), '--at', '47.5W'])).status).toBe(0)
    const at = await readFile(inside('at.html'), 'utf8')
    expect(textOf(at)).toContain(
      'Equal power: all chips at 47.5 W, and at the temperature halfway between theirs.',
    )
    expect(textOf(at)).toContain('holdwatt page Heron.yaml Ibis.yaml --out at.html --at 47.5W')
    expect(tablesOf(at).get('Score of the chips at equal power')?.[0]?.[0]).toBe('render, points\nat 47.5 W')
    const one = await runInside([
      'page',
      join(root, 'samples/heron.yaml'),
      '--out',
      inside('no.html'),
      '--at',
      '45W',
    ])
    expect(one.status).toBe(2)
    expect(one.stderr).toMatch(/expected sheets of many workloads with --at/)
  })

  it('keeps the folders of the disk to itself, and stays small', () => {
    expect(page).not.toContain(root)
    expect(page).not.toContain(folder)
    expect(page).toContain('heron-14-battery.csv')
    expect(/(?:src|href)="(?:https?:)?\/\//.test(page)).toBe(false)
    expect(page.length).toBeLessThan(600_000)
    expect(textOf(page)).toMatch(/Safety: Raising a power limit can overheat or damage a machine/)
  })

  it('keeps the page of one workload where one is named behind the sheet', async () => {
    const { status, stderr } = await runInside([
      'page',
      `${SHEETS[0]}#film encode`,
      '--out',
      inside('one.html'),
    ])
    expect({ status, faults: stderr.match(/error|no such/i) }).toEqual({ status: 0, faults: null })
    const one = await readFile(inside('one.html'), 'utf8')
    expect(one).toContain('id="what-if"')
    expect(textOf(one)).toContain('Power and score · film encode')
  })
})

type Result = Pick<Review['results'][number], 'workload' | 'metric' | 'inMeans'>

function nameOf({ workload, metric, inMeans }: Result): string {
  return inMeans ? workload : `${workload}: ${metric}`
}

function each({ value, low, high, level }: Estimate, to: (value: number) => number): Estimate {
  return { value: to(value), low: to(low), high: to(high), level }
}

function percent(ratio: Estimate): Estimate {
  return each(ratio, (value) => 100 * (value - 1))
}

function signed(estimate: Estimate): string {
  const text = plain(sayEstimate(estimate, '', 'percent'))
  return estimate.value > 0 && Number.parseFloat(text) !== 0 ? `+${text}` : text
}

function plain(text: string): string {
  return text.replaceAll('\u00a0', ' ')
}

/** Rows of every table of a page by its caption, a cell's lines kept apart. */
function tablesOf(page: string): ReadonlyMap<string, readonly (readonly string[])[]> {
  const found = [...page.matchAll(/<caption[^>]*>([^<]*)<\/caption>[\s\S]*?<tbody>([\s\S]*?)<\/tbody>/g)]
  return new Map(
    found.map(([, caption, body]) => [
      textOf(caption!),
      body!
        .split('</tr>')
        .slice(0, -1)
        .map((row) => [...row.matchAll(/<t[hd][^>]*>([\s\S]*?)<\/t[hd]>/g)].map(([, cell]) => textOf(cell!))),
    ]),
  )
}

function textOf(markup: string): string {
  const text = markup.replaceAll('<br>', '\n').replace(/<[^>]*>/g, '')
  return plain(text)
    .replaceAll('&#39;', "'")
    .replaceAll('&quot;', '"')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&')
}
