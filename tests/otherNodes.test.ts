import { execFile } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, describe, expect, it } from 'vitest'
import { builtMain, runInside } from './cli/commandLine.js'

// `.ci/run` puts later versions of Node into this folder; on a machine without them the tests say that they were left out.

const run = promisify(execFile)
const nodeOf = (version: number) => resolve(`node_modules/.cache/nodes/${version}/node_modules/node/bin/node`)
const folder = mkdtempSync(join(tmpdir(), 'holdwatt-nodes-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

interface Figures {
  readonly loads: readonly { readonly sustained: { readonly levelW: { readonly value: number } } }[]
  readonly chip?: {
    readonly curve: readonly { readonly powerW: number; readonly score: { readonly value: number } }[]
  }
}

async function ask(node: string, ...words: readonly string[]): Promise<Figures> {
  const { stdout } = await run(node, [builtMain, ...words, '--json'], { maxBuffer: 1 << 26 })
  return JSON.parse(stdout) as Figures
}

let asked: Promise<readonly [Figures, Figures]> | undefined

/** What the node of the tests answers, asked once, inside this process. */
function ownFigures(): Promise<readonly [Figures, Figures]> {
  asked ??= Promise.all([askHere('stages', 'samples/heron-loop.csv'), askHere('fit', 'samples/heron.yaml')])
  return asked
}

async function askHere(...words: readonly string[]): Promise<Figures> {
  return JSON.parse((await runInside([...words, '--json'])).stdout) as Figures
}

describe.each([22, 24])('Node %i', (version) => {
  const node = nodeOf(version)

  it.skipIf(!existsSync(node))('finds and fits the same figures, and draws the page', async () => {
    const page = join(folder, `${version}.html`)
    const [stages, fit, [ownStages, ownFit]] = await Promise.all([
      ask(node, 'stages', 'samples/heron-loop.csv'),
      ask(node, 'fit', 'samples/heron.yaml'),
      ownFigures(),
      run(node, [builtMain, 'page', 'samples/bittern-noted.yaml', '--out', page]),
    ])
    expect((await run(node, ['--version'])).stdout).toMatch(new RegExp(`^v${version}\\.`))
    expect(stages.loads[0]!.sustained.levelW.value).toBeCloseTo(ownStages.loads[0]!.sustained.levelW.value, 6)
    const scores = (figures: Figures) => figures.chip!.curve.map(({ score }) => Math.round(score.value))
    expect(scores(fit)).toEqual(scores(ownFit))
    expect(existsSync(page)).toBe(true)
  })
})
