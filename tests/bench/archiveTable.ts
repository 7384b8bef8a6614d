import { spawnSync } from 'node:child_process'
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { sayNumber } from './benchTable.js'

/** Dollars a processor core costs for an hour: an assumption to work an example with, not a quote; `PRICE=0.02` sets another. */
const PRICE_PER_CORE_HOUR = Number(process.env.PRICE ?? 0.04)
const LOGS = 160
const ROUNDS = 3
const MILLION = 1_000_000

interface Usage {
  /** Of all threads of the process. */
  readonly cpuS: number
  readonly elapsedS: number
  readonly mostMiB: number
}

/**
 * Many half-hour logs through the built command: processor seconds a log, what workers bring, memory, and from these what a
 * million logs cost. Elapsed times depend on what else the machine does; processor times hardly do.
 */
export function archiveTable(): readonly string[] {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-bench-'))
  try {
    return tableOf(makeArchive(folder), folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function tableOf(lists: { readonly one: string; readonly all: string }, folder: string): readonly string[] {
  const rounds = Array.from({ length: ROUNDS }, () => ({
    start: run(['stages', '--from-list', lists.one], 1, folder),
    runs: [1, 2, 4].map((jobs) => run(['stages', '--from-list', lists.all], jobs, folder)),
    check: run(['check', '--from-list', lists.all], 1, folder),
  }))
  const median = (pick: (round: (typeof rounds)[number]) => number) => quantile(rounds.map(pick), 0.5)
  const rows = [1, 2, 4].map((jobs, index) => {
    const cpuS = median(({ runs }) => runs[index]!.cpuS) / LOGS
    const speedUp = median(({ runs }) => runs[0]!.elapsedS / runs[index]!.elapsedS)
    const mostMiB = median(({ runs }) => runs[index]!.mostMiB)
    return `| ${jobs} | ${sayNumber(cpuS)} s | ${sayNumber(speedUp)} | ${sayNumber(mostMiB)} MiB |`
  })
  const perLogS = median(({ start, runs }) => (runs[0]!.cpuS - start.cpuS) / (LOGS - 1))
  const checkS = median(({ start, check }) => (check.cpuS - start.cpuS) / (LOGS - 1))
  return [
    `## ${LOGS} half-hour logs through \`stages --json-lines\`, ${ROUNDS} rounds`,
    '',
    '| workers | processor time a log | elapsed, times faster than one | memory |',
    '| --: | --: | --: | --: |',
    ...rows,
    '',
    ...sayCost('stages', perLogS),
    ...sayCost('check', checkS),
  ]
}

function sayCost(command: string, perLogS: number): readonly string[] {
  const coreHours = (perLogS * MILLION) / 3600
  return [
    `${command}: ${sayNumber(perLogS)} s of one core for a further log; a million take ${sayNumber(perLogS * MILLION)} s, or ${sayNumber(coreHours)} core-hours:`,
    `${sayNumber(coreHours * PRICE_PER_CORE_HOUR)} dollars at ${PRICE_PER_CORE_HOUR} dollars a core-hour (an assumption, not a quote).`,
  ]
}

/** The half-hour logs of the samples over and over: a second a sample, three dialects, held by a limit or by heat. */
function makeArchive(folder: string): { readonly one: string; readonly all: string } {
  mkdirSync(join(folder, 'logs'))
  const names = Array.from({ length: LOGS }, (_, index) => {
    const sample = SAMPLES[index % SAMPLES.length]!
    const name = join('logs', `${index}-${sample}`)
    copyFileSync(join('samples', sample), join(folder, name))
    return name
  })
  writeFileSync(join(folder, 'one.txt'), names[0]!)
  writeFileSync(join(folder, 'all.txt'), names.join('\n'))
  return { one: 'one.txt', all: 'all.txt' }
}

const SAMPLES = ['heron-loop.csv', 'bittern-loop.csv', 'ibis-loop.tsv']

/** Tells on stderr, when the process ends, what all its threads have used. */
const TELL_USAGE = `data:text/javascript,import { isMainThread } from 'node:worker_threads'
if (isMainThread) process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage()
  const usage = { cpuS: (userCPUTime + systemCPUTime) / 1e6, elapsedS: performance.now() / 1e3, mostMiB: maxRSS / 1024 }
  process.stderr.write(JSON.stringify(usage))
})`

function run(words: readonly string[], jobs: number, cwd: string): Usage {
  const tell = TELL_USAGE.replaceAll('\n', '%0A').replaceAll(' ', '%20')
  const command = join(process.cwd(), 'dist/cli/main.cjs')
  const all = ['--import', tell, command, ...words, '--json-lines', '--jobs', String(jobs)]
  const { status, stderr } = spawnSync(process.execPath, all, { cwd, encoding: 'utf8', maxBuffer: 1 << 30 })
  if (status !== 0) throw new Error(`${words.join(' ')}: ${stderr}`)
  return JSON.parse(stderr) as Usage
}
