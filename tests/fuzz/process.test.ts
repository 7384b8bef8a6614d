import { execFileSync } from 'node:child_process'
import { chmodSync, copyFileSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { root, runInsideAt } from '../cli/commandLine.js'
import { runShell } from './runShell.js'

// What only a process shows. Elapsed times are generous, since the machine that tests is busy.
const WITHIN_S = 30

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-process-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const shell = (line: string) => runShell(line, { cwd: folder, withinS: WITHIN_S })

/** Two minutes at 5 W, then six at 60 W. */
const ROWS = Array.from({ length: 480 }, (_, s) => `${s},${(s < 120 ? 5 : 60) + (s % 7) / 10}`)

const ODD_NAMES = [
  '-dash.csv',
  'two\nlines.csv',
  `quotes'".csv`,
  '😀 log.csv',
  'bell\u0007.csv',
  '$(touch x).csv',
  '*',
]
const quoted = (name: string) => `'${name.replaceAll("'", `'\\''`)}'`

describe.skipIf(process.platform !== 'linux')('the command as a process', () => {
  beforeAll(() => {
    writeFileSync(join(folder, 'loop.csv'), `time_s,power_w\n${ROWS.join('\n')}\n`)
    copyFileSync(join(root, 'samples', 'bittern-noted.yaml'), join(folder, 'noted.yaml'))
    copyFileSync(join(root, 'models', 'chips', 'kestrel-16.json'), join(folder, 'chip.json'))
    execFileSync('mkfifo', [join(folder, 'fifo')])
    mkdirSync(join(folder, 'dir'))
    symlinkSync('loop-a', join(folder, 'loop-b'))
    symlinkSync('loop-b', join(folder, 'loop-a'))
    symlinkSync('nowhere', join(folder, 'dangling'))
    symlinkSync('loop.csv', join(folder, 'link.csv'))
    writeFileSync(join(folder, 'locked.csv'), 'time_s,power_w\n0,5\n')
    chmodSync(join(folder, 'locked.csv'), 0)
    for (const name of ODD_NAMES) copyFileSync(join(folder, 'loop.csv'), join(folder, name))
  })

  it.each([
    ['a named pipe that nobody writes to', 'fifo'],
    ['a device without an end', '/dev/zero'],
    ['a directory', 'dir'],
    ['a symbolic link that leads back to itself', 'loop-a'],
    ['a symbolic link that leads nowhere', 'dangling'],
    ['a path through a file', 'loop.csv/x.csv'],
    ['a name longer than any file has', 'n'.repeat(5000)],
    ['a path above the root', '../../../../../../../../../none.csv'],
  ])('%s is refused at once, as a log, as either and as a model', async (_what, path) => {
    const answers = [
      await shell(`holdwatt stages ${path}`),
      await runInsideAt(folder, ['check', path]),
      await runInsideAt(folder, ['project', path, '--sustained', '70W']),
    ]
    for (const [which, { status, stdout, stderr }] of answers.entries()) {
      expect({ which, status, stdout }).toEqual({ which, status: 2, stdout: '' })
      expect(stderr).toMatch(/expected a file|no such file|symbolic link|no file/)
      expect(stderr.trim().split('\n').length).toBe(2)
    }
  })

  it.skipIf(process.getuid?.() === 0)('a file without permission is refused with the reason', async () => {
    const { status, stderr } = await shell('holdwatt stages locked.csv')
    expect(status).toBe(2)
    expect(stderr).toMatch(/no permission/)
  })

  it('a log comes from a pipe as well as from a file, for every command that takes one', async () => {
    for (const command of ['stages', 'check']) {
      const file = await shell(`holdwatt ${command} loop.csv --json`)
      const same = (text: string) => text.replace(/\/dev\/(stdin|fd\/\d+)|loop\.csv/g, 'LOG')
      const piped = `cat loop.csv | holdwatt ${command} /dev/stdin --json`
      const others = [
        `holdwatt ${command} <(cat loop.csv) --json`,
        `holdwatt ${command} /dev/stdin --json < loop.csv`,
      ]
      for (const line of command === 'stages' ? [piped, ...others] : [piped]) {
        const answer = await shell(line)
        expect({ line, status: answer.status, stderr: answer.stderr }).toEqual({
          line,
          status: file.status,
          stderr: '',
        })
        expect(same(answer.stdout)).toBe(same(file.stdout))
      }
    }
  })

  it('a pipe full of what is no text is refused as soon as that is seen', async () => {
    const { status, stderr } = await shell('head -c 500000000 /dev/zero | holdwatt stages /dev/stdin')
    expect(status).toBe(2)
    expect(stderr).toMatch(/expected a text table/)
  })

  it('a reader that closes the pipe early is no fault, whatever it has read', async () => {
    for (const line of [
      'holdwatt stages loop.csv --json | head -1',
      'holdwatt check loop.csv | head -c 10',
      'holdwatt --help | true',
      'holdwatt stages none.csv 2>&1 >/dev/null | true',
    ]) {
      const { status, stderr } = await shell(`${line}; [[ \${PIPESTATUS[0]} =~ ^(0|2|3)$ ]]`)
      expect({ line, status, stderr }).toEqual({ line, status: 0, stderr: '' })
    }
  })

  it('a full disk under the output ends with 2 and says so', async () => {
    for (const line of ['holdwatt stages loop.csv --json', 'holdwatt stages loop.csv', 'holdwatt --help']) {
      const { status, stderr } = await shell(`${line} > /dev/full`)
      expect({ line, status }).toEqual({ line, status: 2 })
      expect(stderr).toBe('holdwatt: the output cannot be written: the disk is full\n')
    }
  })

  it('odd names are names: dashes, quotes, line breaks, dollars, stars and emoji', async () => {
    const { status, stdout, stderr } = await shell(
      `holdwatt stages --json-lines --jobs 1 -- ${ODD_NAMES.map(quoted).join(' ')}`,
    )
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
    const answers = stdout.trim().split('\n')
    expect(answers.map((line) => (JSON.parse(line) as { log: { path: string } }).log.path)).toEqual(ODD_NAMES)
    for (const name of ODD_NAMES) {
      const missing = await runInsideAt(folder, ['check', '--', `${name}.none`])
      expect(missing.status).toBe(2)
      expect(missing.stderr.trim().split('\n').length).toBe(2)
    }
  })

  it('a symbolic link to a log is that log', async () => {
    const { status, stdout } = await shell('holdwatt stages link.csv --json')
    expect(status).toBe(0)
    expect((JSON.parse(stdout) as { loads: unknown[] }).loads.length).toBe(1)
  })

  it('a model is written to no device and no pipe, whatever is forced, and the reason is said', async () => {
    for (const path of ['/dev/full', 'fifo']) {
      const { status, stderr } = await shell(`holdwatt fit noted.yaml --force --chip ${path}`)
      expect({ path, status }).toEqual({ path, status: 2 })
      expect(stderr).toMatch(/cannot be written|expected an ordinary file/)
      expect(stderr).not.toMatch(/RangeError|undefined/)
    }
  })
})
