import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { runShell } from '../fuzz/runShell.js'
import { makeArchive, stepLog } from './archive/archive.js'
import { runInside, runInsideAt } from './commandLine.js'

// Input and surroundings that mean harm, or bad luck, as the built command meets them.

const { folder, write, path } = makeArchive()
const shell = (line: string) => runShell(line, { cwd: folder, withinS: 30 })
write('loop.csv', stepLog(80, 50))
write('grün.csv', stepLog(70, 45))

function sheet(trials: string): string {
  return `machine: Heron 14\nchip: Kestrel 16\nchassis: Heron slim\nworkload:\n  name: tiles\n  score: points\n  better: higher\ntrials:\n${trials}\n`
}

const ONE_RUN = '    runs: [{ start: 40 s, end: 90 s, score: 100 }]'

/** Unsafe for a terminal: an escape, a C1 control, and marks of direction. */
const UNSAFE = ['\u001b[2J', '\u009b', '\u202e', '\u2066', '\u200e', '\u200f', '\u061c']

describe.skipIf(process.platform !== 'linux')('results that were cut', () => {
  write('birds/a😀.csv', stepLog(80, 50))
  write('birds/b.csv', stepLog(70, 45))
  let uncut: ReturnType<typeof shell> | undefined

  it.each([1, 2, 3])(
    'inside a character are gone on with as if the cut were elsewhere (%i bytes of four)',
    async (kept) => {
      uncut ??= shell('holdwatt stages birds --json-lines')
      const { stdout } = await uncut
      const bytes = Buffer.from(stdout)
      writeFileSync(path('out.jsonl'), bytes.subarray(0, bytes.indexOf('😀') + kept))
      const { status } = await shell(
        'holdwatt stages birds --json-lines --resume-from out.jsonl >> out.jsonl',
      )
      expect(status).toBe(0)
      expect(readFileSync(path('out.jsonl'), 'utf8')).toBe(stdout)
    },
  )
})

describe.skipIf(process.platform !== 'linux')('a stream that is named in a file', () => {
  it('is refused: what comes from it is for whoever the command line says', async () => {
    write('greedy.yaml', sheet(`  - log: /dev/stdin\n${ONE_RUN}`))
    const list = ['greedy.yaml', '/dev/stdin', 'loop.csv', ...Array<string>(50).fill('loop.csv')]
    write('list', `${list.join('\n')}\n`)
    const { status, stdout, stderr } = await shell(
      'cat list | holdwatt check --from-list - --json-lines --jobs 1',
    )
    const lines = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as { path: string; error?: { code: string } })
    expect(lines.map((line) => line.path)).toEqual(list)
    expect(lines.filter(({ error }) => error !== undefined).map((line) => line.error!.code)).toEqual([
      'file-not-readable',
      'file-not-readable',
    ])
    expect(stderr).toMatch(/only the command line may name one/)
    expect(status).toBe(2)
  })
})

describe.skipIf(process.platform !== 'linux')('too few file descriptors', () => {
  it('make the pool smaller, and change no byte of the answer', async () => {
    for (let i = 0; i < 9; i++) write(`few/${i}.csv`, stepLog(70 + i, 45))
    const whole = await shell('holdwatt stages few --json-lines --jobs 1')
    const few = await shell('ulimit -n 32; holdwatt stages few --json-lines --jobs 8')
    expect(few).toEqual(whole)
  })

  it('are enough for a sheet of many logs', async () => {
    const trials = Array.from({ length: 100 }, () => `  - log: loop.csv\n${ONE_RUN}`)
    write('many.yaml', sheet(trials.join('\n')))
    const { status, stderr } = await shell(
      'ulimit -n 32; holdwatt check many.yaml --json > many.json; [ $? != 1 ]',
    )
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
  })

  it('that are enough for nothing are told as what they are', async () => {
    const { status, stderr } = await shell('ulimit -n 22; holdwatt stages few --json-lines --jobs 2')
    expect(status).toBe(2)
    expect(stderr).toMatch(/no more files or threads be open at once\n {2}allow more/)
    expect(stderr).not.toMatch(/fault of the tool/)
  })
})

describe('text that a terminal would obey', () => {
  it('stands as an escape in JSON and as a mark elsewhere, and JSON says the same all the same', async () => {
    const name = `power_w ${UNSAFE.join('')}`
    const log = write('odd.csv', `time_s,${name}\n0,5\n1,45\n2,44\n3,44\n`)
    for (const words of [['--json'], ['--json-lines'], [], ['--csv']]) {
      const { stdout } = await runInside(['stages', log, ...words])
      expect(stdout.replaceAll('\n', '')).not.toMatch(/[\p{Cc}\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u)
    }
    const missing = `none${UNSAFE.join('')}.csv`
    const { stdout } = await runInside(['stages', log, missing, '--json'])
    expect(stdout).not.toMatch(/[\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/)
    expect((JSON.parse(stdout) as { files: { path: string }[] }).files[1]!.path).toBe(missing)
  })

  it.each([
    ['an option', ['stages', `--no${UNSAFE.join('')}`, 'x']],
    ['a command', [`st${UNSAFE.join('')}`]],
    ['the value of an option', ['stages', 'x', '--every', `1${UNSAFE.join('')}`]],
    ['a choice', ['log', '--better', UNSAFE.join(''), '--', 'true']],
  ])('is not echoed from %s', async (_what, words) => {
    const { status, stderr } = await runInside(words)
    expect(status).toBe(2)
    expect(stderr.replaceAll('\n', '')).not.toMatch(/[\p{Cc}\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u)
  })
})

describe('names that turn the direction of text', () => {
  const marks = UNSAFE.filter((mark) => !/\p{Cc}/u.test(mark)).join('')
  const named = (which: string, sample = 'bittern-noted') =>
    write(
      `${which}.yaml`,
      readFileSync(`samples/${sample}.yaml`, 'utf8')
        .replace(/^(machine|chip|chassis): .*$/gm, (_line, key) => `${key}: "${key} ${which}${marks}"`)
        .replace(/^chip: .*$/m, `chip: "chip${marks}"`)
        .replace(/^( +)name: .*$/m, `$1name: "work${marks}"`)
        .replace(/^( +)score: [a-z].*$/m, `$1score: "points${marks}"`)
        .replace(/log: /g, `log: ${process.cwd()}/samples/`),
    )

  it('are shown as text by every command that reads a sheet', async () => {
    const [a, b, logged] = [named('a'), named('b'), named('logged', 'heron-compile')]
    for (const words of [
      ['check', logged],
      ['fit', logged],
      ['fit', a, b],
      ['project', a, '--sustained', '50W'],
      ['compare', a, 'samples/bittern.yaml'],
      ['explain', a, b],
      ['plan', a],
      ['survey', a, b],
    ]) {
      const { status, stdout, stderr } = await runInside(words)
      expect([0, 2, 3], stderr).toContain(status)
      expect(words[0] === 'compare' || status !== 2, stderr).toBe(true)
      expect(`${stdout}${stderr}`, words[0]).not.toMatch(/[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u)
    }
  })
})

describe.skipIf(process.platform !== 'linux')('a pipe in the place of a picture or a page', () => {
  it('is refused at once', async () => {
    write('page.yaml', sheet(`  - log: loop.csv\n${ONE_RUN}`))
    expect(
      (await shell('mkdir charts; mkfifo charts/heron-14-trace.svg charts/heron-14-trace.png page.html'))
        .status,
    ).toBe(0)
    const picture = await runInsideAt(folder, ['page', 'page.yaml', '--out', 'p.html', '--charts', 'charts'])
    expect(picture.status).toBe(2)
    expect(picture.stderr).toMatch(/expected an ordinary file, got a device or a pipe/)
    const page = await runInsideAt(folder, ['page', 'page.yaml', '--out', 'page.html'])
    expect(page.status).toBe(2)
    expect(page.stderr).toMatch(/expected an ordinary file/)
    expect(existsSync(join(folder, 'page.html'))).toBe(true)
  })
})

describe.skipIf(process.platform !== 'linux')('a process that is ended while it writes', () => {
  it('takes its half file away, and ends by the signal', async () => {
    const place = path('ended')
    const line = `mkdir -p ${place}; '${process.execPath}' dist/cli/main.cjs desk --out ${place}/desk.html & child=$!
      for i in $(seq 1 20000); do
        if compgen -G '${place}/.*.partial' > /dev/null; then kill -INT $child; break; fi
        kill -0 $child 2> /dev/null || break
      done
      wait $child; echo $?; ls -A ${place}`
    // Which of the two is first is a matter of microseconds: either the file is whole, or nothing is there.
    for (let i = 0; i < 3; i++) {
      const { stdout } = await runShell(`cd ${process.cwd()}; ${line}`, { cwd: folder, withinS: 30 })
      expect(stdout).not.toContain('partial')
      expect(stdout).toMatch(/130\n$|desk\.html\n$/)
    }
  })
})
