import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { gainPercent, sayElasticity } from '../../../src/show/figures/sayElasticity.js'
import { sayCount } from '../../../src/show/figures/sayEstimate.js'
import { root } from '../../cli/commandLine.js'

const plain = (text: string) => text.replaceAll('\u00a0', ' ')

/** Phrases that readers stumbled over, each with what the tool says for it (the style page in src/show/README.md). */
const REPLACED: readonly (readonly [RegExp, string])[] = [
  [/\bUndetermined\b/, 'cause unknown'],
  [/fit to conclude/i, 'safe to draw conclusions'],
  [/\bfor good\b/, 'sustains'],
  [/must be mended/, 'fix first'],
  [/Mind:/, 'Caution:'],
  [/\bmakes? [−+-]?\d/, 'accounts for'],
  [/\bnone came\b/, 'got none'],
  [/noise widths/, 'fits the log poorly'],
  [/\(elasticity \$/, '+10 % power gives +6.7 % score'],
  [/what chips do in general/, 'typical chip behaviour'],
  [/can[’']t be told|can[’']t tell|told apart/, 'no chip clearly leads; the cause is unknown'],
  [/\basks? for no more\b/, 'the workload needs no more power'],
  [/the task itself/, 'workload'],
]

/** The texts of a source file: what stands between quotation marks or as markup, without comments. */
function textsOf(source: string): string {
  return source.replace(/\/\*[\s\S]*?\*\//g, '').replace(/\/\/.*$/gm, '')
}

describe('what people read', () => {
  const folder = join(root, 'src')
  const files = ['show', 'cli', 'audit'].flatMap((room) =>
    readdirSync(join(folder, room), { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.ts'))
      .map((name) => join(room, name)),
  )

  it.each(REPLACED)('says nowhere %s, but: %s', (phrase) => {
    const found = files.filter((name) => phrase.test(textsOf(readFileSync(join(folder, name), 'utf8'))))
    expect(found).toEqual([])
  })

  it('counts one run and two runs', () => {
    expect(sayCount(1, 'run')).toBe('1 run')
    expect(sayCount(2, 'run')).toBe('2 runs')
    expect(sayCount(1, 'run lies', 'runs lie')).toBe('1 run lies')
  })

  it('says an elasticity as what a tenth more power gives', () => {
    const elasticity = { value: 0.68, low: 0.6, high: 0.76, level: 0.9 }
    expect(plain(sayElasticity(elasticity, { better: 'higher' }))).toMatch(
      /^\+10 % power gives \+6\.7 % score \(5\.8 to 7\.6 %\)$/,
    )
    expect(plain(sayElasticity(elasticity, { better: 'lower' }))).toMatch(
      /^\+10 % power saves 6\.3 % of the time/,
    )
    expect(gainPercent(elasticity, { better: 'higher' }).value).toBeCloseTo(100 * (1.1 ** 0.68 - 1), 9)
  })
})
