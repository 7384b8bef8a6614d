import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { commands } from '../../src/cli/commands.js'
import { root, runInside } from './commandLine.js'

// What users see, kept as files so that a change of it is seen in review. `UPDATE_GOLDEN=1 npx vitest …` writes them anew.

const folder = join(root, 'tests', 'golden', 'cli')
const update = process.env.UPDATE_GOLDEN === '1'

function golden(name: string, now: string): string {
  const path = join(folder, name)
  if (update) {
    mkdirSync(folder, { recursive: true })
    writeFileSync(path, now)
  }
  return readFileSync(path, 'utf8')
}

describe('what the command line says', () => {
  it('as an overview is what was agreed', async () => {
    const { stdout } = await runInside([])
    expect(stdout).toBe(golden('overview.txt', stdout))
  })

  it.each(commands.map((entry) => entry.name))('as help of %s is what was agreed', async (name) => {
    const { stdout } = await runInside([name, '--help'])
    expect(stdout).toBe(golden(`help-${name}.txt`, stdout))
  })

  it.each([
    ['a-mistyped-key', ['fit', 'tests/golden/cli/mistyped.yaml']],
    ['a-missing-log', ['stages', 'nowhere.csv']],
    ['a-missing-target', ['project', 'samples/heron.yaml']],
  ])('of %s is what was agreed', async (name, words) => {
    const { stderr } = await runInside(words)
    expect(stderr).toBe(golden(`error-${name}.txt`, stderr))
  })
})

describe('what the command line computes', () => {
  it.each([
    ['fit-bittern-noted', ['fit', 'samples/bittern-noted.yaml']],
    ['stages-bittern', ['stages', 'samples/bittern-loop.csv']],
    ['project-bittern-noted', ['project', 'samples/bittern-noted.yaml', '--sustained', '80W', '--runs', '6']],
  ])('for %s has the fields of its golden document, and figures within 5 %% of them', async (name, words) => {
    const { stdout } = await runInside([...words, '--json'])
    const now = JSON.parse(stdout) as unknown
    const then = JSON.parse(golden(`${name}.json`, `${JSON.stringify(now, rounded, 1)}\n`)) as unknown
    expect(differences(now, then, name)).toEqual([])
  })
})

function rounded(_key: string, value: unknown): unknown {
  return typeof value === 'number' ? Number(value.toPrecision(4)) : value
}

/** Places where two documents differ: other fields, other words, or numbers more than 5 % (or a thousandth) apart. */
function differences(now: unknown, then: unknown, path: string): readonly string[] {
  if (typeof now === 'number' && typeof then === 'number') {
    const apart = Math.abs(now - then) > Math.max(1e-3, 0.05 * Math.abs(then))
    return apart ? [`${path}: ${now} instead of ${then}`] : []
  }
  if (typeof now !== 'object' || typeof then !== 'object' || now === null || then === null) {
    // Sentences hold figures: their words are compared.
    const words = (value: unknown) => String(value).replace(/[−-]?\d[\d.,\u00a0 ]*/g, '#')
    return words(now) === words(then) ? [] : [`${path}: ${String(now)} instead of ${String(then)}`]
  }
  const keys = new Set([...Object.keys(now), ...Object.keys(then)])
  const field = (value: object, key: string) => (value as { readonly [key: string]: unknown })[key]
  return [...keys].flatMap((key) => differences(field(now, key), field(then, key), `${path}.${key}`))
}
