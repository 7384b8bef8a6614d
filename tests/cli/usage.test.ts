import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { commands } from '../../src/cli/commands.js'
import { runBuilt, runBuiltClosingEarly, runInside } from './commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-cli-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** A file in a folder of this test. */
function file(name: string, content: string): string {
  const path = join(folder, name)
  writeFileSync(path, content)
  return path
}

describe('the command line', () => {
  it('alone shows an overview with all its commands and ends well', async () => {
    const { status, stdout, stderr } = await runBuilt([])
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
    expect(commands.map((entry) => entry.name).sort()).toEqual(
      [
        'check',
        'desk',
        'draft',
        'compare',
        'explain',
        'fit',
        'plan',
        'project',
        'log',
        'page',
        'review',
        'stages',
        'survey',
      ].sort(),
    )
    for (const { name } of commands) expect(stdout).toMatch(new RegExp(`^  ${name} `, 'm'))
  })

  it.each(['--help', '-h', 'help'])('shows the same for %s', async (word) => {
    const { stdout } = await runBuilt([])
    expect(await runBuilt([word])).toEqual({ status: 0, stdout, stderr: '' })
  })

  it.each(commands.map((entry) => entry.name))('has help with examples for %s', async (name) => {
    const { status, stdout } = await runInside([name, '--help'])
    expect(status).toBe(0)
    expect(stdout).toMatch(/Examples:\n {2}holdwatt/)
    expect(await runInside(['help', name])).toEqual({ status: 0, stdout, stderr: '' })
  })

  it.each([
    ['record', 'log'],
    ['report', 'page'],
  ])('knows %s, the old name of %s, and lists it nowhere', async (old, name) => {
    const { status, stdout, stderr } = await runInside([old, '--help'])
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
    expect(stdout).toBe((await runInside([name, '--help'])).stdout)
    expect(await runInside(['help', old])).toEqual({ status, stdout, stderr })
    expect((await runInside([])).stdout).not.toMatch(new RegExp(`^ +${old}\\b`, 'm'))
    expect(stdout).not.toContain(`holdwatt ${old}`)
  })

  it('prints its version as package.json has it', async () => {
    const { version } = JSON.parse(readFileSync('package.json', 'utf8')) as { version: string }
    expect((await runBuilt(['--version'])).stdout).toBe(`${version}\n`)
  })

  it.each([
    [['stagse', 'x.csv'], /unknown command 'stagse'[\s\S]*stages/],
    [['stages'], /missing required argument 'log'/],
    [['stages', 'x.csv', '--jason'], /unknown option '--jason'[\s\S]*--json/],
    [['stages', 'x.csv', '--width', '3'], /40 to 400/],
    [['stages', 'x.csv', '--every', '5 W'], /a time/],
    [['project', 'x.yaml', '--sustained', '40:100'], /sweep/],
    [['project', 'x.yaml', '--sustained', '-5W'], /zero or more/],
    [['project', 'x.yaml', '--sustained', '40W:100W:0.001W'], /2 to 200 steps/],
    [['project', 'x.yaml', '--runs', '0', '--sustained', '5W'], /1 to 1000/],
    [['project', 'samples/heron.yaml'], /expected a target/],
    [['project', 'samples/heron.yaml', '--sustained', '71W', '--chassis', 'x.json'], /got both/],
    [['compare', 'samples/heron.yaml', '--at', 'warm'], /expected a power/],
    [['explain', 'samples/heron.yaml'], /missing required argument/],
    [
      ['compare', 'samples/bittern-noted.yaml', 'samples/bittern-noted.yaml'],
      /tests of one[\s\S]*holdwatt explain/,
    ],
    [['compare', 'samples/bittern-noted.yaml'], /two or more/],
  ])('ends %j with 2 and a way out on stderr, nothing on stdout', async (words, message) => {
    const { status, stdout, stderr } = await runInside(words)
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' })
    expect(stderr).toMatch(message)
  })

  it('tells bad input as file:line: what was wrong, and what to do below', async () => {
    const sheet = file(
      'wrong.yaml',
      readFileSync('samples/heron.yaml', 'utf8').replace('chassis:', 'chasis:'),
    )
    const { status, stdout, stderr } = await runInside(['fit', sheet, '--json'])
    expect(status).toBe(2)
    const document = JSON.parse(stdout) as object
    expect(document).toMatchObject({ error: { code: 'sheet-key-unknown', file: sheet, line: 4 } })
    expect(stderr).toMatch(/wrong\.yaml:4: the key `chasis` is not known here\n {2}was `chassis` meant\?/)
  })

  it.each([
    ['a missing log', 'stages', join(folder, 'none.csv')],
    ['a folder without logs', 'stages', mkdtempSync(join(folder, 'empty-'))],
    ['an empty file', 'stages', file('empty.csv', '')],
    ['a picture', 'stages', file('picture.csv', '\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0')],
    ['prose', 'stages', file('prose.csv', 'It was a dark and stormy night.\nThe rain fell.\n')],
    ['a log for a sheet', 'fit', 'samples/heron-loop.csv'],
    ['a missing sheet', 'fit', join(folder, 'none.yaml')],
    ['a sheet of a missing log', 'fit', file('lonely.yaml', readFileSync('samples/heron.yaml', 'utf8'))],
    ['half a model', 'project', file('half.json', '{"format":"holdwatt-chip","version":1,"name":"K"')],
    ['an old model', 'project', file('new.json', '{"format":"holdwatt-chip","version":99,"name":"K"}')],
    ['a model of nothing', 'compare', file('nothing.json', '{"hello":1}')],
    ['hostile YAML', 'fit', file('deep.yaml', `machine: ${'['.repeat(50_000)}`)],
  ])('ends %s with 2, one or two lines on stderr, and no stack', async (_case, command, path) => {
    const target = command === 'project' ? ['--sustained', '50W'] : []
    const { status, stdout, stderr } = await runInside([command, path, ...target])
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' })
    expect(stderr.trim().split('\n').length).toBeLessThanOrEqual(2)
    expect(stderr).not.toMatch(/\bat .*:\d+:\d+/)
  })

  it('is silent about a reader that closes the pipe early', async () => {
    const { status, stderr } = await runBuiltClosingEarly(['stages', 'samples/heron-loop.csv', '--json'])
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
  })
})

describe('colour', () => {
  const escapes = new RegExp(`${String.fromCharCode(27)}\\[`)
  const words = ['check', 'samples/heron-loop.csv']

  it('is used on a terminal, and not in a pipe', async () => {
    expect((await runInside(words, { terminal: true })).stdout).toMatch(escapes)
    expect((await runInside(words)).stdout).not.toMatch(escapes)
  })

  it('is off with NO_COLOR, TERM=dumb or --no-color, and on with --color or FORCE_COLOR', async () => {
    expect((await runInside(words, { terminal: true, env: { NO_COLOR: '1' } })).stdout).not.toMatch(escapes)
    expect((await runInside(words, { terminal: true, env: { NO_COLOR: '' } })).stdout).toMatch(escapes)
    expect((await runInside(words, { terminal: true, env: { TERM: 'dumb' } })).stdout).not.toMatch(escapes)
    expect((await runInside([...words, '--no-color'], { terminal: true })).stdout).not.toMatch(escapes)
    expect((await runInside([...words, '--color'])).stdout).toMatch(escapes)
    expect((await runInside(words, { env: { FORCE_COLOR: '1' } })).stdout).toMatch(escapes)
  })
})

describe('hostile names', () => {
  it('reach the terminal without control characters, whether they come from a sheet, a header or a path', async () => {
    const rows = Array.from({ length: 200 }, (_, i) => `${i},${i < 20 ? 5 : 50 + (i % 3) / 10}`)
    const log = file(
      'ev\u001b[31mil\u0007.csv',
      `time_s,"power \u001b]0;owned\u0007 [W]"\n${rows.join('\n')}\n`,
    )
    for (const words of [
      ['stages', log],
      ['check', log],
      ['plan', log],
      ['stages', `${log}.none`],
    ]) {
      const { stdout, stderr } = await runInside(words, { terminal: true, env: { NO_COLOR: '1' } })
      // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must not come
      expect(stdout + stderr).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202e]/)
    }
  })
})

describe('model files', () => {
  it('are written whole, replaced when they are models, and nothing else is overwritten without --force', async () => {
    const chip = join(folder, 'kestrel.json')
    const chassis = join(folder, 'bittern.json')
    const sheet = 'samples/bittern-noted.yaml'
    expect((await runInside(['fit', sheet, '--chip', chip, '--chassis', chassis])).status).toBe(0)
    expect((await runInside(['fit', sheet, '--chip', chip])).status).toBe(0)
    const letter = file('letter.txt', 'Dear editor')
    const refused = await runInside(['fit', sheet, '--chip', letter])
    expect(refused).toMatchObject({ status: 2, stdout: '' })
    expect(readFileSync(letter, 'utf8')).toBe('Dear editor')
    expect((await runInside(['fit', sheet, '--chip', letter, '--force'])).status).toBe(0)
    expect((await runInside(['fit', sheet, '--chip', join(folder, 'no', 'such.json')])).status).toBe(2)
    expect(readdirSync(folder).filter((name) => name.includes('partial'))).toEqual([])
    const projected = await runInside(['project', chip, '--chassis', chassis, '--runs', '3', '--json'])
    expect(projected.status).toBe(0)
    const swapped = await runInside(['project', chassis, '--sustained', '50W'])
    expect(swapped).toMatchObject({
      status: 2,
      stderr: expect.stringMatching(/expected a test sheet, got a chassis model/),
    })
  })
})

describe('at 80 columns', () => {
  it.each([
    'fit samples/heron.yaml',
    'project samples/heron.yaml --sustained 40W:100W:10W',
    'explain samples/heron.yaml samples/bittern.yaml',
  ])('no line is wider: %s', async (line) => {
    const { stdout } = await runInside([...line.split(' '), '--width', '80'])
    expect(stdout.split('\n').filter((text) => [...text].length > 80)).toEqual([])
  })
})
