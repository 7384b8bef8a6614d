import { execFileSync } from 'node:child_process'
import { mkdirSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { Worker } from 'node:worker_threads'
import { SingleBar } from 'cli-progress'
import { build, type Plugin } from 'esbuild'
import type { WorldFindings } from './coverageSample.js'
import { coverageTable, LEVELS } from './coverageTable.js'
import { type StudyItem, studyPlan } from './studyPlan.js'

// `npm run study [-- STAGES TESTS SEED]`: coverage of every printed interval over generated worlds, to coverage.md.
// The tool prints 90 % intervals. Other levels come from the same sources built with another ESTIMATE_LEVEL.

const CACHE = resolve('node_modules/.cache/holdwatt/study')
const WORKERS = 2
const [stages = 240, tests = 180, seed = 20250301] = process.argv.slice(2).map(Number)

await bundleEvaluations()
const plan = studyPlan({ stages, tests }, seed)
const findings = await runPlan(plan)
const text = `${heading()}\n${coverageTable(findings)}\n`
writeFileSync('tests/study/coverage.md', text)
process.stdout.write(text)

function heading(): string {
  const commit = execFileSync('git', ['rev-parse', '--short', 'HEAD']).toString().trim()
  const date = new Date().toISOString().slice(0, 10)
  return `# Coverage study

Made by \`npm run study\` on ${date} at commit ${commit}: ${stages} uninterrupted loads and ${tests} scored tests from seed ${seed}.
Worlds come from \`tests/worlds/\`, which shares no code and no formula with the fits. An interval of 90 % should hold the truth in
90 % of cases; with 200 intervals the count itself scatters by 2 points (standard deviation).
`
}

async function bundleEvaluations(): Promise<void> {
  mkdirSync(CACHE, { recursive: true })
  const common = {
    bundle: true,
    platform: 'node',
    format: 'esm',
    packages: 'external',
    logLevel: 'warning',
  } as const
  await build({ ...common, entryPoints: ['tests/study/studyWorker.ts'], outfile: join(CACHE, 'worker.mjs') })
  for (const level of LEVELS)
    await build({
      ...common,
      entryPoints: ['tests/study/evaluateItem.ts'],
      outfile: join(CACHE, `evaluate-${level}.mjs`),
      plugins: [atLevel(level)],
    })
}

/** The one place where the level of printed intervals is set, with another number in it. */
function atLevel(level: number): Plugin {
  return {
    name: 'estimate-level',
    setup(chosen) {
      chosen.onLoad({ filter: /statistics[\\/]estimate\.ts$/ }, async ({ path }) => {
        const { readFileSync } = await import('node:fs')
        const source = readFileSync(path, 'utf8')
        const changed = source.replace('ESTIMATE_LEVEL = 0.9', `ESTIMATE_LEVEL = ${level}`)
        if (level !== 0.9 && changed === source) throw new Error('ESTIMATE_LEVEL was not found')
        return { contents: changed, loader: 'ts' }
      })
    },
  }
}

function runPlan(plan: readonly StudyItem[]): Promise<Map<number, WorldFindings[]>> {
  const bar = new SingleBar({
    stream: process.stderr,
    format: 'worlds {bar} {value}/{total}, {eta_formatted} left',
  })
  const findings = new Map<number, WorldFindings[]>(LEVELS.map((level) => [level, []]))
  let next = 0
  let done = 0
  bar.start(plan.length, 0)
  return new Promise((finish, fail) => {
    for (let i = 0; i < WORKERS; i++) {
      const worker = new Worker(join(CACHE, 'worker.mjs'), { workerData: { levels: LEVELS, cache: CACHE } })
      const give = () => worker.postMessage(plan[next++] ?? null)
      worker.on('error', fail)
      worker.on('message', (found: readonly [number, WorldFindings][]) => {
        for (const [level, of] of found) findings.get(level)!.push(of)
        bar.update(++done)
        give()
        if (done === plan.length) {
          bar.stop()
          finish(findings)
        }
      })
      give()
    }
  })
}
