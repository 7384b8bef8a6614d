import { cpSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { makeArchive } from '../archive/archive.js'
import { type Ended, runBuilt, runInside, runInsideAt } from '../commandLine.js'

const { folder, write, path } = makeArchive()
for (const name of ['ibis-compile.yaml', 'ibis-compile.tsv', 'bittern-compile.yaml', 'bittern-compile.csv'])
  cpSync(`samples/${name}`, path(`sheets/${name}`))
cpSync('models/chips/merlin-12-compile.json', path('merlin.json'))
const noted = readFileSync('samples/bittern-noted.yaml', 'utf8')
write('noted/a.yaml', noted)
write(
  'noted/b.yaml',
  noted.replace('Bittern 17', 'Wren 12').replace('Kestrel 16', 'Merlin 12').replace('14280', '13990'),
)
const NOTED = ['noted/a.yaml', 'noted/b.yaml']
const NAMED = ['sheets/bittern-compile.yaml', 'sheets/ibis-compile.yaml']

describe('comparing what a folder holds', () => {
  it('gives the document of the same sheets named one by one, in any number of threads', async () => {
    const line = (words: readonly string[]) => ['compare', ...words, '--at', '50W,60W', '--json']
    const read = ({ stdout }: Ended) => ({ ...(JSON.parse(stdout) as object), version: '' })
    const here = async (...words: readonly string[]) => read(await runInsideAt(folder, line(words)))
    const named = await here(...NOTED)
    const expected = { ...named, failed: [] }
    expect(await here('noted', '--jobs', '1')).toEqual(expected)
    write('list.txt', NOTED.join('\n'))
    expect(await here('--from-list', 'list.txt', '--jobs', '1')).toEqual(expected)
    const threads = await runBuilt(line(['noted', '--jobs', '2']), { cwd: folder })
    expect(threads.status).toBe(0)
    expect(read(threads)).toEqual(expected)
  })

  it('leaves out and names what it can’t read, where a sheet that was named would end it', async () => {
    write('mixed/bad.yaml', 'machine: Plover 14\n')
    for (const name of ['bittern-compile.yaml', 'bittern-compile.csv'])
      cpSync(`samples/${name}`, path(`mixed/${name}`))
    const words = [path('mixed'), path('merlin.json'), '--at', '60W', '--json-lines']
    const { status, stdout, stderr } = await runInside(['compare', ...words])
    expect(status).toBe(2)
    expect(stderr).toMatch(/bad\.yaml:1: chip:/)
    expect(stdout.split('\n')).toHaveLength(2)
    const { failed, machines } = JSON.parse(stdout) as {
      failed: readonly object[]
      machines: readonly object[]
    }
    expect(failed).toMatchObject([{ path: path('mixed/bad.yaml'), error: { line: 1 } }])
    expect(machines).toMatchObject([{ chip: 'Kestrel 16' }, { chip: 'Merlin 12', sustainedW: null }])
    const strict = await runInside(['compare', ...NAMED.map(path), path('mixed/bad.yaml')])
    expect(strict).toMatchObject({ status: 2, stdout: '' })
    write('mixed/bad.yaml', sheetOfMissingLog())
    const late = await runInside(['compare', ...NAMED.map(path), path('mixed/bad.yaml')])
    expect(late).toMatchObject({ status: 2, stdout: '', stderr: expect.stringMatching(/none\.csv/) })
  })
})

function sheetOfMissingLog(): string {
  return `machine: Plover 14
chip: Plover X
chassis: Plover slim
workload: { name: "whole-tree compile, all threads", score: s, better: lower }
trials: [ { log: none.csv, runs: [ { score: 160 } ] } ]
`
}

describe('four sheets of two chips', () => {
  it('are all listed as measured, and a warning is about the machine that it comes from', async () => {
    const sheets = ['heron', 'ibis', 'bittern', 'bittern-noted'].map((name) => `samples/${name}.yaml`)
    const { stdout } = await runInside(['compare', ...sheets, '--json'])
    const { machines, warnings } = JSON.parse(stdout) as {
      readonly machines: readonly Record<'machine' | 'chip' | 'steadyScore', unknown>[]
      readonly warnings: readonly { readonly code: string; readonly message: string }[]
    }
    expect(machines.map(({ machine }) => machine)).toEqual([
      'Heron 14',
      'Ibis 15',
      'Bittern 17',
      'Bittern 17, from notes',
    ])
    // As noted in heron.yaml: the mean of its last three runs.
    expect(machines[0]).toMatchObject({
      chip: 'Kestrel 16',
      steadyScore: { value: expect.closeTo((11028 + 11027 + 11019) / 3, 6) },
    })
    const about = warnings.filter(({ code }) => code === 'run-length-unknown').map(({ message }) => message)
    expect(about).toEqual([expect.stringMatching(/^Bittern 17, from notes: /)])
  }, 120_000)
})
