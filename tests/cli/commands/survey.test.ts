import { cpSync, existsSync, readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import * as z from 'zod'
import { makeArchive } from '../archive/archive.js'
import { type Ended, runBuilt, runInside, runInsideAt } from '../commandLine.js'

const { folder, write, path } = makeArchive()
for (const name of ['ibis-compile', 'bittern-compile', 'heron-compile', 'bittern-noted']) {
  cpSync(`samples/${name}.yaml`, path(`archive/${name}.yaml`))
  for (const log of [`samples/${name}.csv`, `samples/${name}.tsv`])
    if (existsSync(log)) cpSync(log, path(`archive/${log.slice('samples/'.length)}`))
}
// A machine whose log was lost, one whose sheet is no sheet, and one that nobody scored.
const heron = readFileSync('samples/heron-compile.yaml', 'utf8')
write('archive/lost.yaml', heron.replace('heron-compile.csv', 'lost.csv').replace('Heron 14', 'Wren 12'))
write('archive/prose.yaml', 'It was a dark and stormy night.\n')
write('archive/unscored.yaml', heron.replace('Heron 14', 'Dunlin 13').replace(/ {4}runs:[\s\S]*/, ''))

const estimate = z.object({ value: z.number(), low: z.number(), high: z.number(), level: z.literal(0.9) })
const document = z.object({
  tool: z.literal('holdwatt'),
  version: z.string(),
  command: z.literal('survey'),
  warnings: z.array(z.object({ code: z.string(), message: z.string() })),
  workloads: z.array(
    z.object({
      workload: z.object({ name: z.string(), score: z.string(), better: z.enum(['higher', 'lower']) }),
      atW: z.number().nullable(),
      chips: z.array(
        z.object({
          chip: z.string(),
          machines: z.number(),
          measuredRangeW: z.tuple([z.number(), z.number()]),
          score: estimate.nullable(),
          perWatt: estimate.nullable(),
          extrapolated: z.boolean(),
        }),
      ),
      machines: z.array(
        z.object({
          sheet: z.string(),
          machine: z.string(),
          chip: z.string(),
          chassis: z.string(),
          mode: z.string().nullable(),
          sustainedW: estimate,
          heldBy: z.enum(['power-limit', 'heat', 'demand', 'undetermined']).nullable(),
          reached: z.boolean().nullable(),
          settleAfterS: estimate.nullable(),
          steadyScore: estimate.nullable(),
          score: estimate.nullable(),
          warnings: z.array(z.object({ code: z.string(), message: z.string() })),
        }),
      ),
    }),
  ),
  failed: z.array(z.object({ path: z.string(), error: z.object({ code: z.string(), message: z.string() }) })),
  charts: z.array(z.string()),
})

describe('a survey of an archive', () => {
  it('is one document of its workloads, chips and machines, and of what failed and why; exit status 2', async () => {
    const line = (jobs: string) => ['survey', 'archive', '--at', '60W', '--json', '--jobs', jobs]
    const one = await runInsideAt(folder, line('1'))
    const two = await runBuilt(line('2'), { cwd: folder })
    const read = ({ stdout }: Ended) => document.parse({ ...JSON.parse(stdout), version: '' })
    expect(read(two)).toEqual(read(one))
    expect({ ...two, stdout: '' }).toEqual({ ...one, stdout: '' })
    expect(one.status).toBe(2)
    const { workloads, failed } = read(one)
    expect(workloads.map(({ workload, atW }) => [workload.score, atW])).toEqual([
      ['s', 60],
      ['points', 60],
    ])
    expect(workloads[0]!.machines.map(({ machine }) => machine)).toEqual([
      'Bittern 17',
      'Ibis 15',
      'Heron 14',
      'Dunlin 13',
    ])
    expect(failed.map((each) => [each.path, each.error.code])).toEqual([
      ['archive/lost.yaml', 'log-missing'],
      ['archive/prose.yaml', expect.any(String)],
    ])
    expect(one.stderr).toMatch(/lost\.csv[\s\S]*prose\.yaml/)
  })

  it('has the figures that compare has of the same sheets', async () => {
    const words = ['archive/bittern-compile.yaml', 'archive/ibis-compile.yaml'].map(path)
    const surveyed = document.parse(
      JSON.parse((await runInside(['survey', ...words, '--at', '60W', '--json'])).stdout),
    )
    const compared = JSON.parse((await runInside(['compare', ...words, '--at', '60W', '--json'])).stdout)
    const { chips, machines } = surveyed.workloads[0]!
    const scoreOf = (name: string) => chips.find(({ chip }) => chip === name)!.score
    for (const { chip, score } of compared.at[0].scores) expect(scoreOf(chip)).toEqual(score)
    expect(machines.find(({ machine }) => machine === 'Bittern 17')!.sustainedW).toEqual(
      compared.machines[0].sustained,
    )
  })

  it('in text lists what it left out with the reason, within 80 columns', async () => {
    const { stdout } = await runInside(['survey', path('archive/*compile.yaml'), path('archive/prose.yaml')])
    expect(stdout).toMatch(/whole-tree compile[\s\S]*Sustained power[\s\S]*Left out\n.*prose\.yaml/)
    expect(
      Math.max(...stdout.split('\n').map((line) => (line.includes(folder) ? 0 : line.length))),
    ).toBeLessThanOrEqual(80)
  })

  it('draws a picture of each workload, and replaces only its own', async () => {
    const words = ['survey', path('archive/bittern-noted.yaml'), '--charts', path('pictures')]
    expect((await runInside(words)).status).toBe(0)
    expect((await runInside(words)).status).toBe(0)
    const names = readdirSync(path('pictures')).sort()
    expect(names).toEqual(['survey-mosaic-render-all-threads.png', 'survey-mosaic-render-all-threads.svg'])
    expect(readFileSync(path(`pictures/${names[1]}`), 'utf8')).toMatch(/sustains 71\sW/)
    write(`pictures/${names[1]}`, 'a letter to the editor')
    expect((await runInside(words)).status).toBe(2)
    expect((await runInside([...words, '--force'])).status).toBe(0)
  })
})
