import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { ReadTest } from '../../../src/machine/testedMachine.js'
import { publicFacts } from '../../../src/show/page/pageContent.js'
import { readInputs } from '../../../src/show/page/readInputs.js'

describe('what a page tells of its files', () => {
  it('names a log by its name alone, also within the sentences of findings and warnings', () => {
    const log = '/home/somebody/$&/heron-mains.csv'
    const finding = { code: 'not-settled', severity: 'unsafe' as const, atS: null }
    const facts = {
      version: '1',
      command: 'holdwatt page',
      inputs: [{ name: log, bytes: 1, sha256: '0' }],
      findings: [
        { path: '/home/somebody/heron.yaml', findings: [{ ...finding, message: `${log}: It ends early.` }] },
      ],
    }
    const told = publicFacts(facts, [{ code: 'no-load', message: `${log} has no load.` }])
    expect(JSON.stringify(told)).not.toContain('somebody')
    expect(told.findings).toEqual([
      { path: 'heron.yaml', findings: [{ ...finding, message: 'heron-mains.csv: It ends early.' }] },
    ])
    expect(told.warnings).toEqual([{ code: 'no-load', message: 'heron-mains.csv has no load.' }])
  })

  it('has checksums of sheets, logs and tables of scores, none twice', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'holdwatt-inputs-'))
    const inside = (name: string) => join(folder, name)
    await Promise.all(['a.yaml', 'a.csv', 'scores.csv'].map((name) => writeFile(inside(name), name)))
    const table = { file: 'scores.csv', score: null }
    const trial = { kind: 'logged', path: inside('a.csv'), trial: { table } }
    const read = { trials: [trial, { kind: 'noted' }, trial] } as unknown as ReadTest
    const inputs = await readInputs([
      { file: inside('a.yaml'), read },
      { file: inside('a.yaml'), read: null },
    ])
    expect(inputs.map(({ name, bytes }) => [name, bytes])).toEqual([
      [inside('a.yaml'), 6],
      [inside('a.csv'), 5],
      [inside('scores.csv'), 10],
    ])
    // SHA-256 of the text `a.csv`, by `sha256sum`.
    expect(inputs[1]!.sha256).toBe('32f29f33d51165a6808e62cc3dfe85d090bc7521591fa6b6f829f061402704dc')
    await rm(folder, { recursive: true })
  })
})
