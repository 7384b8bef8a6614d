import type { WorldFindings } from './coverageSample.js'
import { type CoverageRow, groupBy, tallyCoverage, tallyFacts } from './tallyCoverage.js'

/** Levels at which intervals are asked for; every published figure is at 0.9. */
export const LEVELS = [0.5, 0.8, 0.9, 0.95] as const

/** The study's tables in Markdown: every interval at every level, by kind of chassis at 90 %, and what was right. */
export function coverageTable(byLevel: ReadonlyMap<number, readonly WorldFindings[]>): string {
  const printed = byLevel.get(0.9) ?? []
  return [
    '## Nominal and actual coverage\n',
    levelsTable(byLevel),
    '\n## Actual coverage of 90 % intervals by kind of chassis\n',
    kindsTable(printed),
    '\n## Right and wrong\n',
    factsTable(printed),
    ...failureLines(printed),
  ].join('\n')
}

function levelsTable(byLevel: ReadonlyMap<number, readonly WorldFindings[]>): string {
  const rows = new Map(
    [...byLevel].map(([level, findings]) => [level, tallyCoverage(findings.flatMap((f) => f.samples))]),
  )
  const printed = rows.get(0.9) ?? []
  const at = (level: number, figure: string) => rows.get(level)?.find((row) => row.figure === figure)
  const head = `| figure | intervals | ${LEVELS.map((level) => `${percent(level)}`).join(' | ')} | bias | width at 90 % |`
  const rule = `| --- | --: | ${LEVELS.map(() => '--: |').join(' ')} --: | --: |`
  const lines = printed.map((row) => {
    const cells = LEVELS.map((level) => percent(at(level, row.figure)?.coverage))
    return `| ${row.figure} | ${row.count} | ${cells.join(' | ')} | ${amount(row.bias, row)} | ${amount(row.width, row)} |`
  })
  return [head, rule, ...lines].join('\n')
}

function kindsTable(printed: readonly WorldFindings[]): string {
  const groups = groupBy(
    printed.flatMap((f) => f.samples),
    (sample) => sample.group,
  )
  const kinds = [...groups.keys()]
  const tallies = new Map([...groups].map(([kind, samples]) => [kind, tallyCoverage(samples)]))
  const figures = tallyCoverage(printed.flatMap((f) => f.samples)).map((row) => row.figure)
  const cell = (kind: string, figure: string) => {
    const row = tallies.get(kind)?.find((candidate) => candidate.figure === figure)
    return row === undefined ? '' : `${percent(row.coverage)} (${row.count})`
  }
  return [
    `| figure | ${kinds.join(' | ')} |`,
    `| --- | ${kinds.map(() => '--: |').join(' ')}`,
    ...figures.map((figure) => `| ${figure} | ${kinds.map((kind) => cell(kind, figure)).join(' | ')} |`),
  ].join('\n')
}

function factsTable(printed: readonly WorldFindings[]): string {
  const lines = tallyFacts(printed.flatMap((f) => f.facts)).map(({ fact, count, mean, median, p90 }) =>
    fact.endsWith('error')
      ? `| ${fact} | ${count} | median ${percent(median)}, nine of ten within ${percent(p90)} |`
      : `| ${fact} | ${count} | ${percent(mean)} |`,
  )
  return ['| what | cases | result |', '| --- | --: | --: |', ...lines].join('\n')
}

function failureLines(printed: readonly WorldFindings[]): readonly string[] {
  const failures = printed.flatMap((f) => f.failures)
  return failures.length === 0 ? [] : ['\n## Failures\n', ...failures.map((failure) => `- ${failure}`)]
}

function percent(part: number | undefined): string {
  return part === undefined ? '' : `${(100 * part).toFixed(1)} %`
}

function amount(value: number, row: CoverageRow): string {
  return row.scale === 'seconds' ? `${value.toFixed(2)} s` : `${(100 * value).toFixed(2)} %`
}
