import { fork } from 'node:child_process'
import { mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { SingleBar } from 'cli-progress'
import { drawCase, type FuzzCase, makeInput } from './fuzzCase.js'
import type { FuzzReport } from './fuzzWorker.js'
import { sayFuzz, type Tally } from './sayFuzz.js'

// `npm run fuzz [-- CASES SEED]`: mutated logs, sheets and models, each held to what `judgeCase` promises.
// `npm run fuzz -- SEED:NUMBER`: one case again. Failures are kept in node_modules/.cache/holdwatt/fuzz/failures.

const FOLDER = resolve('node_modules/.cache/holdwatt/fuzz')
const FAILURES = join(FOLDER, 'failures')
/** A case that takes longer than this by the clock hangs: a hundred times what the slowest takes on a busy machine. */
const HANG_MS = 120_000
/** Memory that a worker may have for JavaScript values, MB: an input of 4 MB must be worked through within it. */
const HEAP_MB = 1024

const [what = '20000', seedText = '1'] = process.argv.slice(2)
if (what.includes(':')) await repeat(what)
else await runAll(Number(what), Number(seedText))

async function runAll(cases: number, seed: number): Promise<void> {
  rmSync(FAILURES, { recursive: true, force: true })
  mkdirSync(FAILURES, { recursive: true })
  const bar = new SingleBar({ format: '{bar} {value}/{total} inputs, {failures} failed', etaBuffer: 500 })
  const tally: Tally = { seed, cases, outcomes: new Map(), failures: [], slowest: [], largest: [], peakMB: 0 }
  bar.start(cases, 0, { failures: 0 })
  let next = 0
  // A worker that dies or hangs is replaced, and the case that it was at is a failure.
  while (next < cases) next = await runFrom(next, cases, seed, tally, bar)
  bar.stop()
  process.stdout.write(sayFuzz(tally))
  process.exitCode = tally.failures.length === 0 ? 0 : 1
}

function runFrom(from: number, to: number, seed: number, tally: Tally, bar: SingleBar): Promise<number> {
  const worker = fork(
    resolve('node_modules/.cache/holdwatt/fuzzWorker.mjs'),
    [String(seed), String(from), String(to)],
    {
      execArgv: [`--max-old-space-size=${HEAP_MB}`],
      stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
    },
  )
  let at = from
  let timer: NodeJS.Timeout | undefined
  let hung = false
  return new Promise((done) => {
    const watch = () => {
      clearTimeout(timer)
      timer = setTimeout(() => {
        hung = true
        worker.kill('SIGKILL')
      }, HANG_MS)
    }
    watch()
    worker.on('message', (report: FuzzReport) => {
      watch()
      at = report.number + 1
      note(report, tally)
      bar.update(at, { failures: tally.failures.length })
    })
    worker.on('close', () => {
      clearTimeout(timer)
      if (at >= to) return done(to)
      const failure = hung ? `no end within ${HANG_MS / 1000} s` : `the process died (heap ${HEAP_MB} MB)`
      note({ number: at, outcome: 'failed', failure, cpuS: 0, rssMB: 0, bytes: 0 }, tally)
      done(at + 1)
    })
  })
}

function note(report: FuzzReport, tally: Tally): void {
  tally.outcomes.set(report.outcome, (tally.outcomes.get(report.outcome) ?? 0) + 1)
  tally.peakMB = Math.max(tally.peakMB, report.rssMB)
  tally.slowest.push(report)
  tally.slowest.sort((a, b) => b.cpuS - a.cpuS).splice(5)
  tally.largest.push(report)
  tally.largest.sort((a, b) => b.bytes - a.bytes).splice(5)
  if (report.failure === undefined) return
  const fuzzCase = drawCase(tally.seed, report.number)
  tally.failures.push(`${tally.seed}:${report.number} ${report.failure}`)
  keepFailure(`${tally.seed}-${report.number}`, fuzzCase, report.failure, report.bytes > 0)
}

/** How to repeat a case, and its input: but not where a worker ended over it, as making the input may have been what it hung at. */
function keepFailure(name: string, fuzzCase: FuzzCase, failure: string, withInput: boolean): void {
  if (withInput) writeFileSync(join(FAILURES, `${name}.input`), makeInput(fuzzCase))
  const again = `npm run fuzz -- ${name.replace('-', ':')}`
  writeFileSync(
    join(FAILURES, `${name}.json`),
    `${JSON.stringify({ again, failure, case: fuzzCase }, null, 2)}\n`,
  )
}

async function repeat(word: string): Promise<void> {
  const [seed, number] = word.split(':').map(Number)
  const fuzzCase = drawCase(seed!, number!)
  const { judgeCase } = await import('./judgeCase.js')
  const { smallestFailing } = await import('./smallestFailing.js')
  process.stdout.write(`${JSON.stringify(fuzzCase, null, 2)}\n`)
  const small = await smallestFailing(fuzzCase)
  if (small === undefined) process.stdout.write(`${await judgeCase(fuzzCase)}\n`)
  else
    process.stdout.write(
      `fails: ${small.failure}\nwith no more than: ${JSON.stringify(small.fuzzCase.changes)}\n`,
    )
}
