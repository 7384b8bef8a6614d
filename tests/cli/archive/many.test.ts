import { spawn } from 'node:child_process'
import { appendFileSync, openSync, readFileSync, writeFileSync } from 'node:fs'
import { createInterface } from 'node:readline'
import { describe, expect, it } from 'vitest'
import { builtMain, runBuilt, runInside, runInsideAt } from '../commandLine.js'
import { BAD_LOG, makeArchive, stepLog } from './archive.js'

// Many files at once, as a user runs them: from the build, in worker threads.

const { folder, write, path } = makeArchive()
const LOGS = ['a.csv', 'b.csv', 'c/d.csv', 'c/e.csv', 'f.csv']
for (const [index, name] of LOGS.entries()) write(`good/${name}`, stepLog(70 + 5 * index, 40 + index))
write('mixed/a.csv', stepLog(80, 50))
write('mixed/bad.csv', BAD_LOG)
write('mixed/z.csv', stepLog(90, 45))
const NOTED = ['noted/a.yaml', 'noted/b.yaml', 'noted/c.yaml']
for (const [index, name] of NOTED.entries())
  write(
    name,
    readFileSync('samples/bittern-noted.yaml', 'utf8').replace('Kestrel 16', `Kestrel ${16 + index}`),
  )

type Line = Readonly<Record<string, unknown>>
const linesOf = (text: string) =>
  text
    .split('\n')
    .slice(0, -1)
    .map((line) => JSON.parse(line) as Line)
const pathsOf = (text: string) => linesOf(text).map((line) => line.path)
const inFolder = { cwd: folder }

describe('JSON Lines', () => {
  it.each([
    ['stages', ['good', 'mixed']],
    ['check', ['good', 'mixed']],
    ['fit', NOTED],
  ])('of %s are the same bytes with one and with four workers', async (command, words) => {
    const run = (jobs: string) => runBuilt([command, ...words, '--json-lines', '--jobs', jobs], inFolder)
    const one = await run('1')
    expect(linesOf(one.stdout).length).toBeGreaterThan(2)
    expect(await run('4')).toEqual(one)
  })

  it('hold, after the path, the very document that --json prints for the file, in the order of the files', async () => {
    const { status, stdout, stderr } = await runBuilt(['stages', 'good', '--json-lines'], inFolder)
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
    expect(pathsOf(stdout)).toEqual(LOGS.map((name) => `good/${name}`))
    for (const { path: file, ...document } of linesOf(stdout)) {
      const alone = await runInside(['stages', `${folder}/${file}`, '--json'])
      expect(JSON.stringify({ ...document, version: '' }).replaceAll(`"${file}"`, '"*"')).toBe(
        JSON.stringify({ ...JSON.parse(alone.stdout), version: '' }).replaceAll(`"${folder}/${file}"`, '"*"'),
      )
    }
  })

  it('report what is wrong with one file in its place, and go on; the exit status is 2', async () => {
    const { status, stdout, stderr } = await runBuilt(['stages', 'mixed', '--json-lines'], inFolder)
    expect(status).toBe(2)
    const lines = linesOf(stdout)
    expect(pathsOf(stdout)).toEqual(['mixed/a.csv', 'mixed/bad.csv', 'mixed/z.csv'])
    expect(lines.map((line) => 'error' in line)).toEqual([false, true, false])
    expect(lines[1]).toMatchObject({
      command: 'stages',
      error: { code: 'header-missing', message: expect.any(String), file: 'mixed/bad.csv', line: null },
    })
    expect(stderr).toMatch(/^mixed\/bad\.csv: found no header line/)
  })

  it('of check end with 3 when something is unsafe, and with 2 when a file could not be read as well', async () => {
    const sound = await runInside(['check', path('good'), '--json-lines'])
    const codes = linesOf(sound.stdout).flatMap(
      (line) => (line.files as { findings: { severity: string }[] }[])[0]!.findings,
    )
    expect(sound.status).toBe(codes.some((finding) => finding.severity === 'unsafe') ? 3 : 0)
    const stuck = write(
      'stuck.csv',
      `time_s,power_w\n${Array.from({ length: 200 }, (_, i) => `${i},40`).join('\n')}\n`,
    )
    expect((await runInside(['check', stuck, '--json-lines'])).status).toBe(3)
    expect((await runInside(['check', stuck, path('mixed/bad.csv'), '--json-lines'])).status).toBe(2)
  })
})

describe('a list', () => {
  it('gives one line for each of its lines, empty ones passed over, however its lines end', async () => {
    const list = write('list.txt', 'good/b.csv\r\n\r\nmixed/bad.csv\ngood/a.csv')
    for (const jobs of ['1', '2']) {
      const { status, stdout } = await runBuilt(
        ['stages', '--from-list', list, '--json-lines', '--jobs', jobs],
        inFolder,
      )
      expect(status).toBe(2)
      expect(pathsOf(stdout)).toEqual(['good/b.csv', 'mixed/bad.csv', 'good/a.csv'])
    }
  })

  it('is answered line by line while it is still being written', async () => {
    const words = ['stages', '--from-list', '-', '--json-lines', '--jobs', '2']
    const child = spawn(process.execPath, [builtMain, ...words], { cwd: folder })
    const answers = createInterface({ input: child.stdout })[Symbol.asyncIterator]()
    for (const name of ['good/a.csv', 'good/f.csv']) {
      child.stdin.write(`${name}\n`)
      const { value } = await answers.next()
      expect((JSON.parse(value) as Line).path).toBe(name)
    }
    child.stdin.end()
    expect((await answers.next()).done).toBe(true)
  })

  it.each([
    [['stages', 'x.csv', '--from-list', 'list.txt'], /got both/],
    [['stages', '--from-list', 'none.txt'], /none\.txt: there is no such file/],
    [['stages', '--from-list', '.'], /got a folder/],
    [['stages', 'good', '--json', '--json-lines'], /cannot be used with/],
    [['stages', 'good', '--resume-from', 'x.jsonl'], /add --json-lines/],
    [['stages', 'good', '--jobs', '0'], /1 to 256/],
    [['fit', 'good', '--chip', 'x.json'], /write one model each/],
  ])('and options that make no sense together end with 2 and a way out: %j', async (words, message) => {
    const { status, stdout, stderr } = await runInsideAt(folder, words)
    expect(status).toBe(2)
    if (words.includes('--json'))
      expect(JSON.parse(stdout)).toMatchObject({ error: { code: 'command-line' } })
    else expect(stdout).toBe('')
    expect(stderr).toMatch(message)
  })
})

describe('going on with an earlier run', () => {
  const words = ['stages', 'good', '--json-lines', '--jobs', '2']

  it('leaves out what is done, and cuts off a half-written line of the file that it appends to', async () => {
    const whole = (await runBuilt(words, inFolder)).stdout
    const lines = whole.split('\n')
    const out = path('out.jsonl')
    writeFileSync(out, `${lines.slice(0, 2).join('\n')}\n${lines[2]!.slice(0, 300)}`)
    const child = spawn(process.execPath, [builtMain, ...words, '--resume-from', 'out.jsonl'], {
      cwd: folder,
      stdio: ['ignore', openSync(out, 'a'), 'inherit'],
    })
    expect(await new Promise((resolve) => child.on('close', resolve))).toBe(0)
    expect(readFileSync(out, 'utf8')).toBe(whole)
  })

  it('does not touch a file that it does not append to', async () => {
    const out = write('half.jsonl', '{"path":"good/a.csv","command":"stages"}\n{"path":"good/b')
    const { stdout } = await runInsideAt(folder, [...words, '--resume-from', 'half.jsonl'])
    expect(pathsOf(stdout)).toEqual(LOGS.slice(1).map((name) => `good/${name}`))
    expect(readFileSync(out, 'utf8')).toMatch(/good\/b$/)
  })

  it('tries again what failed, and nothing else', async () => {
    const first = await runInsideAt(folder, ['stages', 'mixed', '--json-lines'])
    write('mixed.jsonl', first.stdout)
    const again = await runInsideAt(folder, [
      'stages',
      'mixed',
      '--json-lines',
      '--resume-from',
      'mixed.jsonl',
    ])
    expect(pathsOf(again.stdout)).toEqual(['mixed/bad.csv'])
    appendFileSync(path('mixed.jsonl'), '{"path":"mixed/bad.csv","command":"stages"}\n')
    const done = await runInsideAt(folder, [
      'stages',
      'mixed',
      '--json-lines',
      '--resume-from',
      'mixed.jsonl',
    ])
    expect(done).toEqual({ status: 0, stdout: '', stderr: '' })
  })

  it('refuses a file of other results', async () => {
    write('other.jsonl', '{"path":"good/a.csv","command":"check"}\n')
    write('prose.jsonl', 'It was a dark and stormy night.\n')
    for (const file of ['other.jsonl', 'prose.jsonl']) {
      const { status, stderr } = await runInsideAt(folder, [...words, '--resume-from', file])
      expect(status).toBe(2)
      expect(stderr).toMatch(/:1: expected results of `stages --json-lines`/)
    }
  })
})

describe('one document about many files', () => {
  it('has a `files` entry for each, with the fields of its own document or the error', async () => {
    const { status, stdout } = await runInside(['stages', path('mixed'), '--json'])
    expect(status).toBe(2)
    const { files, ...head } = JSON.parse(stdout) as Line & { files: readonly Line[] }
    expect(head).toMatchObject({ tool: 'holdwatt', command: 'stages', warnings: [] })
    expect(files.map((file) => Object.keys(file))).toEqual([
      ['path', 'warnings', 'log', 'loads'],
      ['path', 'warnings', 'error'],
      ['path', 'warnings', 'log', 'loads'],
    ])
  })

  it('of check has findings for each, and an error where there is one', async () => {
    const { status, stdout } = await runInside([
      'check',
      path('mixed/bad.csv'),
      path('mixed/a.csv'),
      '--json',
    ])
    const { files } = JSON.parse(stdout) as { files: readonly Line[] }
    expect(status).toBe(2)
    expect(files).toMatchObject([
      { path: path('mixed/bad.csv'), findings: [], error: { code: 'header-missing' } },
      { path: path('mixed/a.csv'), findings: expect.any(Array) },
    ])
    expect(files[1]).not.toHaveProperty('error')
  })

  it('of check holds sheets against each other only when they were named one by one', async () => {
    const sheets = ['samples/heron-compile.yaml', 'samples/bittern-noted.yaml']
    const codes = async (words: readonly string[]) => {
      const { stdout } = await runInside(['check', ...words, '--json'])
      const { files } = JSON.parse(stdout) as { files: readonly { findings: readonly { code: string }[] }[] }
      return files.flatMap((file) => file.findings.map((finding) => finding.code))
    }
    expect(await codes(sheets)).toContain('workloads-differ')
    expect(await codes(['samples/{heron-compile,bittern-noted}.yaml'])).not.toContain('workloads-differ')
  })
})

describe('many sheets', () => {
  it('are fitted by chip and workload, and a line of a list is one fit, of several sheets where tabs set them apart', async () => {
    const [first, , other] = NOTED.map(path)
    const second = write(
      'noted/aa.yaml',
      readFileSync(first!, 'utf8').replace('Bittern 17', 'Wren 13').replace('14280', '14310'),
    )
    const grouped = await runInside(['fit', path('noted/{a,aa,c}.yaml'), '--json-lines'])
    expect(linesOf(grouped.stdout).map((line) => line.paths ?? line.path)).toEqual([[first, second], other])
    const list = write('sheets.txt', `${other}\n${first}\t${second}\n`)
    const listed = await runInside(['fit', '--from-list', list, '--json-lines'])
    expect(pathsOf(listed.stdout)).toEqual([other, first])
    expect(listed.stdout.split('\n')[1]).toBe(grouped.stdout.split('\n')[0])
    const together = await runInside(['fit', first!, second, '--json'])
    const { path: _, paths: __, ...document } = linesOf(grouped.stdout)[0]!
    expect(document).toEqual(JSON.parse(together.stdout))
  })
})

describe('a table of many files', () => {
  it.each([
    ['stages', 'held by'],
    ['check', 'findings'],
  ])(
    'of %s has one line for each within 80 columns, and says how many gave no result',
    async (command, heading) => {
      const { stdout } = await runInside([command, path('good'), path('mixed')])
      const lines = stdout.split('\n')
      expect(lines[0]).toMatch(new RegExp(`${heading}$`))
      expect(lines.indexOf('')).toBe(1 + 7)
      expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(80)
      expect(stdout).toContain('1 of 8 gave no result')
    },
  )

  it('shows neither control characters of names nor a page for each log', async () => {
    write('hostile/ev\u001b[31mil.csv', stepLog(70, 40))
    write('hostile/plain.csv', stepLog(70, 40))
    const { stdout, stderr } = await runInside(['stages', path('hostile')], {
      terminal: true,
      env: { NO_COLOR: '1' },
    })
    expect(stdout + stderr).not.toContain('\u001b')
  })
})
