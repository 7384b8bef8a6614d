import { spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { quantile } from '../../src/numeric/statistics/quantile.js'

/** Whole processes, in turn: bare node and the built command. Processor time is that of all threads, those that compile among them. */
export function commandTable(): readonly string[] {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-bench-'))
  try {
    return tableOf(join(folder, 'usage.json'), folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

const STARTS = 9
const COMMAND = 'dist/cli/main.cjs'
const REVIEW = readdirSync('samples/review')
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => `samples/review/${name}`)

const LINES: Readonly<Record<string, readonly string[]>> = {
  'node -e 0': ['-e', '0'],
  '--version': [COMMAND, '--version'],
  '--help': [COMMAND, '--help'],
  'stages, half an hour': [COMMAND, 'stages', 'samples/heron-loop.csv'],
  'fit, a sheet': [COMMAND, 'fit', 'samples/heron.yaml'],
  'project, a sheet': [COMMAND, 'project', 'samples/heron.yaml', '--sustained', '71W'],
  'explain, two sheets': [COMMAND, 'explain', 'samples/heron.yaml', 'samples/ibis.yaml'],
  'review, 3 machines, 6 workloads, 2 modes': [COMMAND, 'review', ...REVIEW],
}

interface Usage {
  readonly cpuMs: number
  readonly elapsedMs: number
}

function tableOf(usageFile: string, folder: string): readonly string[] {
  // Loaded before the command, it writes at the end what the process has used.
  const probe = join(folder, 'probe.cjs')
  writeFileSync(
    probe,
    `process.on('exit', () => require('fs').writeFileSync(${JSON.stringify(usageFile)}, JSON.stringify(process.cpuUsage())))\n`,
  )
  const used = new Map(Object.keys(LINES).map((name) => [name, [] as Usage[]]))
  for (let turn = 0; turn < STARTS; turn++) {
    for (const [name, words] of Object.entries(LINES)) used.get(name)!.push(run(probe, words, usageFile))
  }
  const bareMs = sayTimes(used.get('node -e 0')!, ({ cpuMs }) => cpuMs).medianMs
  return [
    `## Commands: whole processes, ${STARTS} times in turn, median (quickest to slowest)`,
    '',
    '| command | processor time | times bare node | elapsed |',
    '| --- | --: | --: | --: |',
    ...[...used].map(([name, list]) => {
      const cpu = sayTimes(list, ({ cpuMs }) => cpuMs)
      const elapsed = sayTimes(list, ({ elapsedMs }) => elapsedMs)
      return `| ${name} | ${cpu.text} | ${(cpu.medianMs / bareMs).toFixed(1)} | ${elapsed.text} |`
    }),
  ]
}

function run(probe: string, words: readonly string[], usageFile: string): Usage {
  const before = performance.now()
  const { status } = spawnSync(process.execPath, ['-r', resolve(probe), ...words], { stdio: 'ignore' })
  const elapsedMs = performance.now() - before
  if (status !== 0) throw new Error(`${words.join(' ')} ended with ${status}`)
  const { user, system }: { user: number; system: number } = JSON.parse(readFileSync(usageFile, 'utf8'))
  return { cpuMs: (user + system) / 1000, elapsedMs }
}

function sayTimes(
  list: readonly Usage[],
  pick: (usage: Usage) => number,
): { readonly medianMs: number; readonly text: string } {
  const times = list.map(pick)
  const medianMs = quantile(times, 0.5)
  const text = `${medianMs.toFixed(0)} ms (${Math.min(...times).toFixed(0)} to ${Math.max(...times).toFixed(0)})`
  return { medianMs, text }
}
