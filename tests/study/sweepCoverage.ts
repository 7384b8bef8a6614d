import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { pathToFileURL } from 'node:url'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { DIRECTIONS, type Foretold, foretellSweep } from '../certified/foretellSweep.js'
import { type PublishedSweep, shippedSweeps, sweepsOfFolder } from '../certified/readSweeps.js'

// `npm run study:sweeps [-- FOLDER]`: how often the interval of a score at a power holds what published tables of real processors and boards
// say, by direction and distance; written to the file that is named. FOLDER has tables that may not be shipped.

type Answer = Foretold & { readonly kind: PublishedSweep['kind'] }

/** Distances beyond the known range, as ratios of power. */
const DISTANCES = [1, 1.1, 1.25, 1.5, 2, Number.POSITIVE_INFINITY] as const

function main(file: string, folder: string | undefined): void {
  const rest = folder === undefined ? [] : sweepsOfFolder(pathToFileURL(`${folder}/`))
  const sweeps = [...shippedSweeps(), ...rest]
  const answers = sweeps.flatMap(({ kind, table }) =>
    DIRECTIONS.flatMap((direction) =>
      foretellSweep(table, direction).map((answer): Answer => ({ ...answer, kind })),
    ),
  )
  const text = [...headOf(sweeps.length, rest.length), ...tableOf(answers), ''].join('\n')
  writeFileSync(file, text)
  console.log(text)
}

function headOf(tables: number, notShipped: number): readonly string[] {
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const shipped = `${tables - notShipped} shipped with their sources in \`tests/certified/publishedSweeps.json\``
  return [
    '# Published sweeps: what the fit says of levels that it was not given',
    '',
    `Made by \`npm run study:sweeps\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit}.`,
    `${tables} tables of score against mean power: ${shipped}, ${notShipped} not shipped.`,
    'Up: the lower half of the levels is known, the next two are asked. Down: the upper half, and the next two below. Inside: all but the',
    'middle one. Distance is the ratio to the nearest end of the known range. The tables also shaped the prior (`src/fit/README.md`), so these figures are',
    'in-sample: new tables will do somewhat worse.',
    '',
  ]
}

function tableOf(answers: readonly Answer[]): readonly string[] {
  return [
    '| asked | distance | of | levels | median error | power law’s | 9 of 10 within | held at 90 % | median width |',
    '| --- | --- | --- | --: | --: | --: | --: | --: | --: |',
    ...DIRECTIONS.flatMap((direction) =>
      (['all', 'processor', 'board'] as const).flatMap((kind) => {
        const some = answers.filter(
          (answer) => answer.direction === direction && (kind === 'all' || answer.kind === kind),
        )
        return [
          rowOf([direction, 'any', kind], some),
          ...(direction === 'inside' ? [] : rowsByDistance([direction, kind], some)),
        ]
      }),
    ),
  ]
}

function rowsByDistance(
  [direction, kind]: readonly [string, string],
  answers: readonly Answer[],
): readonly string[] {
  return DISTANCES.slice(1).flatMap((to, j) => {
    const from = DISTANCES[j]!
    const some = answers.filter(({ distance }) => distance >= from && distance < to)
    const name = Number.isFinite(to) ? `${from} to ${to}` : `${from} and more`
    return some.length < FEWEST ? [] : [rowOf([direction, name, kind], some)]
  })
}

/** A share of fewer says nothing. */
const FEWEST = 5

function rowOf(names: readonly string[], answers: readonly Answer[]): string {
  const percent = (share: number, digits: number): string => `${(100 * share).toFixed(digits)} %`
  const at = (figureOf: (answer: Answer) => number, share: number): number =>
    quantile(
      answers.map((answer) => Math.abs(figureOf(answer))),
      share,
    )
  const held = answers.filter((answer) => answer.held).length / answers.length
  const cells = [
    ...names,
    answers.length,
    percent(
      at(({ error }) => error, 0.5),
      1,
    ),
    percent(
      at(({ powerLawError }) => powerLawError, 0.5),
      1,
    ),
    percent(
      at(({ error }) => error, 0.9),
      1,
    ),
    percent(held, 0),
    percent(
      at(({ width }) => width, 0.5),
      0,
    ),
  ]
  return `| ${cells.join(' | ')} |`
}

main(process.argv[2]!, process.argv[3])
