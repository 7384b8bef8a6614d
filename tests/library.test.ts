import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { afterAll, describe, expect, it } from 'vitest'

// The built package, imported by its name as a caller does. Node and TypeScript find a package's own name from inside it, so the caller stands in dist.

const root = fileURLToPath(new URL('..', import.meta.url))
const folder = mkdtempSync(join(root, 'dist', 'caller-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const CALLER = `
import {
  checkFiles, compareChips, explainGap, findChangePoints, findLoads, fitLeastSquares, fitMachine, fitReview, gapMachine,
  InputError, parseLog, parseReview, planTest, projectScore, readReview, readSheet, readStages, reviewMachines,
  type Load, type Review, type ReviewedMachine, type ReviewResult, type ReviewSheet, type Trace,
} from 'holdwatt'

const rows = Array.from({ length: 200 }, (_, i) => i + ',' + (i < 20 ? 5 : i < 60 ? 90 : 45))
const trace: Trace = parseLog('time_s,power_w\\n' + rows.join('\\n')).trace
const loads: readonly Load[] = findLoads(trace)
const { edges } = findChangePoints(Float64Array.from({ length: 60 }, (_, i) => (i < 30 ? 1 : 5) + 0.1 * Math.sin(i * i)))
const line = fitLeastSquares({ residuals: ([a = 0, b = 0]) => [1, 2, 3, 4].map((x) => a + b * x - (3 + 2 * x)), start: [0, 0] })
const heron = await fitMachine(await readSheet('samples/bittern-noted.yaml'))
const projection = projectScore({ chip: heron.chip, target: { sustainedW: 60 }, loop: { runs: 5, gapS: 0 } })
const written: ReviewSheet = parseReview('machine: Wren 13\\nchip: Wrentit\\nchassis: Wren\\nworkload: { name: tile render, score: points, better: higher }\\ntrials: [ { noted: [ { power: 30 W } ], runs: [ { score: 9000 }, { score: 9040 } ] } ]', 'wren.yaml')
const machines: readonly ReviewedMachine[] = fitReview([await readReview('samples/bittern-noted.yaml')])
const review: Review = reviewMachines(machines, { atW: 60 })
const reviewed: ReviewResult | undefined = review.results[0]
let code = ''
try { parseLog('nothing') } catch (error) { if (error instanceof InputError) code = error.code }
export const answer = {
  loads: loads.length, edges, slope: line.parameters[1], converged: line.converged, code,
  score: projection.steady.score.value, level: projection.steady.score.level,
  written: written.tests.length, reviewedAtW: reviewed?.atW, ahead: reviewed?.machines[0]?.atEqualPower?.score.value,
  functions: [checkFiles, compareChips, explainGap, gapMachine, planTest, readStages].map((f) => typeof f),
}
`

describe('the library', () => {
  it('is imported by its name and does what it says', async () => {
    const script = join(folder, 'caller.mjs')
    const { outputText } = ts.transpileModule(CALLER, {
      compilerOptions: { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2022 },
    })
    writeFileSync(script, `${outputText}\nprocess.stdout.write(JSON.stringify(answer))\n`)
    const answer = JSON.parse(await outputOf(script)) as Record<string, unknown>
    expect(answer).toMatchObject({ loads: 1, edges: [30], converged: true, level: 0.9 })
    expect(answer.slope).toBeCloseTo(2, 6)
    expect(answer.score).toBeGreaterThan(10_000)
    expect(answer.code).not.toBe('')
    expect([answer.written, answer.reviewedAtW]).toEqual([1, 60])
    expect(Math.abs(Number(answer.ahead) / Number(answer.score) - 1)).toBeLessThan(0.1)
    expect(answer.functions).toEqual(Array(6).fill('function'))
  })

  it('has types that a strict caller compiles against', () => {
    const file = join(folder, 'caller.mts')
    writeFileSync(file, CALLER)
    const program = ts.createProgram([file], {
      module: ts.ModuleKind.NodeNext,
      moduleResolution: ts.ModuleResolutionKind.NodeNext,
      target: ts.ScriptTarget.ES2023,
      strict: true,
      exactOptionalPropertyTypes: true,
      noUncheckedIndexedAccess: true,
      noEmit: true,
      types: ['node'],
    })
    const problems = ts
      .getPreEmitDiagnostics(program)
      .filter((problem) => problem.file?.fileName.includes('holdwatt') || problem.file?.fileName === file)
    expect(problems.map((problem) => ts.flattenDiagnosticMessageText(problem.messageText, ' '))).toEqual([])
    // No types of a package that may be left out, or is bundled and so not installed.
    const others = program
      .getSourceFiles()
      .flatMap(({ fileName }) => /node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(fileName)?.[1] ?? [])
    expect([...new Set(others)].sort()).toEqual(['@types/node', 'typescript', 'undici-types'])
  })
})

function outputOf(script: string): Promise<string> {
  return new Promise((resolve, reject) => {
    execFile(process.execPath, [script], { cwd: root }, (error, stdout) =>
      error === null ? resolve(stdout) : reject(error),
    )
  })
}
