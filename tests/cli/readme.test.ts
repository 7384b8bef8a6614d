import { execFile } from 'node:child_process'
import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Ended, root, runInsideAt } from './commandLine.js'
import { commandsOf, excerptOf, outputsOf } from './shownCommands.js'

// The commands of the README and of the guides are run as they stand there, each page in a folder of its own and in order, since later
// commands use what earlier ones wrote: those that need a shell by the built command, the others by the same code in this process, which
// is faster (`tests/package.test.ts` runs the demo, in which most stand, by the built command). A recording finds counters that this
// process keeps going, and `./render`, which prints a score.

const top = mkdtempSync(join(tmpdir(), 'holdwatt-readme-'))
const sysfs = join(top, 'sys')
const GUIDES = readdirSync(join(root, 'samples/guides')).filter((name) => name.endsWith('.md'))
const PAGES = ['README.md', ...GUIDES.map((name) => `samples/guides/${name}`)]
const UPDATES = process.env.UPDATE_GOLDEN === '1'
let timer: NodeJS.Timeout | undefined

afterAll(() => rmSync(top, { recursive: true, force: true }))

/** A file of the system's tree; written beside and renamed, so that it is never seen half written. */
function put(path: string, text: string): void {
  const file = join(sysfs, path)
  mkdirSync(dirname(file), { recursive: true })
  writeFileSync(`${file}.new`, `${text}\n`)
  renameSync(`${file}.new`, file)
}

/** Counters of a made-up machine that draws 20 W. */
function startCounters(): void {
  const startMs = performance.now()
  const step = () =>
    put('class/powercap/zone:0/energy_uj', (20_000 * (performance.now() - startMs)).toFixed(0))
  put('class/powercap/zone:0/name', 'package-0')
  put('class/powercap/zone:0/max_energy_range_uj', '262143328850')
  step()
  timer = setInterval(step, 10)
}

function executable(file: string, lines: readonly string[]): void {
  writeFileSync(file, `#!/bin/sh\n${lines.join('\n')}\n`)
  chmodSync(file, 0o755)
}

function makeFolder(): string {
  const folder = mkdtempSync(join(top, 'page-'))
  for (const name of ['samples', 'models', 'dist', 'tests']) symlinkSync(join(root, name), join(folder, name))
  executable(join(folder, 'render'), ['sleep 1', 'echo "Score: 2012"'])
  return folder
}

function run(line: string, cwd: string): Promise<Ended> {
  const env = { ...process.env, PATH: `${join(top, 'bin')}:${process.env.PATH}`, NO_COLOR: '1' }
  return new Promise((resolve) => {
    execFile('sh', ['-c', line], { cwd, env, maxBuffer: 1 << 26 }, (error, stdout, stderr) => {
      resolve({ status: error === null ? 0 : Number(error.code), stdout, stderr })
    })
  })
}

/** A command line without a shell's doings, but for a new file that takes the output: no pipe, no other program, no recording. */
const PLAIN = /^(holdwatt (?!log\b)(?:"[^"$`\\]*"|[\w*.,:/ -])+?)(?: > ([\w.-]+))?$/

async function runHere(line: string, cwd: string): Promise<Ended> {
  const [, command, into] = PLAIN.exec(line)!
  const words = command!.match(/"[^"]*"|\S+/g)!.map((word) => word.replaceAll('"', ''))
  const ended = await runInsideAt(cwd, words.slice(1))
  if (into === undefined) return ended
  writeFileSync(join(cwd, into), ended.stdout)
  return { ...ended, stdout: '' }
}

beforeAll(() => {
  mkdirSync(join(top, 'bin'))
  executable(join(top, 'bin/holdwatt'), [
    `[ "$1" = log ] && { shift; set -- log --sysfs "${sysfs}" "$@"; }`,
    `exec "${process.execPath}" "${join(root, 'dist/cli/main.cjs')}" "$@"`,
  ])
})

describe.each(PAGES)('%s', (page) => {
  const markdown = readFileSync(join(root, page), 'utf8')
  const outcomes = new Map<string, Promise<Ended>>()
  let folder = ''
  beforeAll(() => {
    folder = makeFolder()
    if (commandsOf(markdown).some((line) => /^holdwatt log\b/.test(line))) startCounters()
  })
  afterAll(() => clearInterval(timer))

  /** A command is run once, however much is asked of it. */
  function outcomeOf(line: string): Promise<Ended> {
    const runIt = PLAIN.test(line) ? runHere : run
    const outcome = outcomes.get(line) ?? runIt(line, folder)
    outcomes.set(line, outcome)
    return outcome
  }

  it('shows commands of the tool', () => {
    expect(commandsOf(markdown).filter((line) => /\bholdwatt\b/.test(line)).length).toBeGreaterThan(0)
  })

  it.each(commandsOf(markdown))(
    'has a command that works: %s',
    async (line) => {
      const { status, stderr } = await outcomeOf(line)
      // A check that finds something unsafe ends with 3, and has worked.
      expect(/\bcheck\b/.test(line) ? [0, 3] : [0], stderr).toContain(status)
    },
    240_000,
  )

  // `npm run renew` puts what is printed now into the page.
  it.each(outputsOf(markdown))(
    'shows what a command prints: $line',
    async ({ line, printed }) => {
      const { stdout } = await outcomeOf(line)
      const now = excerptOf(stdout, printed)
      if (UPDATES) {
        const file = join(root, page)
        writeFileSync(
          file,
          readFileSync(file, 'utf8').replace(printed, () => now),
        )
      } else expect(now).toBe(printed)
    },
    240_000,
  )
})
