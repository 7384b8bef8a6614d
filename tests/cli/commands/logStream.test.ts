import { type ChildProcess, spawn } from 'node:child_process'
import { appendFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { builtMain, type Ended, root, runInside } from '../commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-stream-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const sample = readFileSync(join(root, 'samples/heron-loop.csv'))

function start(words: readonly string[]): { readonly child: ChildProcess; readonly ended: Promise<Ended> } {
  const child = spawn(process.execPath, [builtMain, ...words], { cwd: folder })
  let [stdout, stderr] = ['', '']
  child.stdout.on('data', (data) => {
    stdout += String(data)
  })
  child.stderr.on('data', (data) => {
    stderr += String(data)
  })
  child.stdin.on('error', () => undefined)
  const ended = new Promise<Ended>((resolve) => {
    child.on('close', (code) => resolve({ status: code ?? -1, stdout, stderr }))
  })
  return { child, ended }
}

interface Streamed {
  readonly settled: boolean
  readonly sustained: { readonly reached: boolean; readonly levelW: { readonly value: number } }
}

describe('lines of another logger', () => {
  it('are kept byte for byte, read as a log, and given a sheet that check reads', async () => {
    const { child, ended } = start(['log', '--from', '-', '--out', 'piped.csv', '--json'])
    child.stdin!.end(sample)
    const { status, stdout } = await ended
    expect(status).toBe(0)
    expect(readFileSync(join(folder, 'piped.csv')).equals(sample)).toBe(true)
    const { sustained } = JSON.parse(stdout) as Streamed
    expect(sustained.reached).toBe(true)
    expect(Math.abs(sustained.levelW.value / 44.2 - 1)).toBeLessThan(0.01)
    expect((await runInside(['check', join(folder, 'piped.yaml')])).status).not.toBe(2)
    // Whose lines these are is not known: not this computer's.
    expect(readFileSync(join(folder, 'piped.yaml'), 'utf8')).toMatch(
      /^machine: piped\nchip: chip of piped\nchassis: chassis of piped$/m,
    )
  })

  it('end with --until settled as soon as the power is known, though more would come', async () => {
    const { child, ended } = start([
      'log',
      '--from',
      '-',
      '--until',
      'settled',
      '--out',
      'until.csv',
      '--json',
    ])
    // The end of the stream never comes.
    child.stdin!.write(sample.subarray(0, sample.lastIndexOf(0x0a, Math.floor(0.6 * sample.length)) + 1))
    const { status, stdout } = await ended
    expect(status).toBe(0)
    expect((JSON.parse(stdout) as Streamed).settled).toBe(true)
  })

  it('are followed in a file that grows, until Ctrl-C', async () => {
    const source = join(folder, 'growing.csv')
    const cut = sample.indexOf(0x0a, Math.floor(sample.length / 2)) + 1
    writeFileSync(source, sample.subarray(0, cut))
    const { child, ended } = start(['log', '--follow', source, '--out', 'followed.csv', '--json'])
    setTimeout(() => appendFileSync(source, sample.subarray(cut)), 300)
    setTimeout(() => child.kill('SIGINT'), 4000)
    const { status } = await ended
    expect(status).toBe(0)
    expect(readFileSync(join(folder, 'followed.csv')).equals(sample)).toBe(true)
  })

  it('that are no log end with what was wrong, and keep what came', async () => {
    const { child, ended } = start(['log', '--from', '-', '--out', 'none.csv'])
    child.stdin!.end('hello\nworld\n')
    const { status, stderr } = await ended
    expect(status).toBe(2)
    expect(stderr).toContain('standard input')
  })

  it.each([
    [['--from', '-', '--follow', 'x.csv'], 'got both'],
    [['--from', 'x.csv'], '--follow FILE'],
    [['--from', '-', '--', 'true'], 'without a command'],
    [['--from', '-', '--loop', '3'], 'own counters'],
    [['--until', 'settled', '--', 'true'], '--loop COUNT'],
    [['--power', 'x', '--', 'true'], '--power needs'],
  ])('are refused where options contradict: %j', async (words, said) => {
    const { child, ended } = start(['log', ...words])
    child.stdin!.end()
    const { status, stderr } = await ended
    expect([status, stderr]).toEqual([2, expect.stringContaining(said)])
  })
})
