import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { runCommandLine } from '../../src/cli/runCommandLine.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function run(words: readonly string[]) {
  let out = ''
  let err = ''
  const status = await runCommandLine(words, {
    version: '0.0.0',
    env: {},
    stdoutIsTerminal: false,
    stderrIsTerminal: false,
    columns: undefined,
    writeOut: (text) => {
      out += text
    },
    writeErr: (text) => {
      err += text
    },
  })
  return { status, out, err }
}

describe('holdwatt desk', () => {
  it('writes the desk that was built, and again over itself', async () => {
    const file = join(folder, 'desk.html')
    const { status, out } = await run(['desk', '--out', file])
    expect({ status, out: out.trim() }).toEqual({ status: 0, out: file })
    expect(await readFile(file, 'utf8')).toBe(await readFile('dist/desk.html', 'utf8'))
    const again = await run(['desk', '--out', file, '--json'])
    expect(again.status).toBe(0)
    expect(JSON.parse(again.out)).toMatchObject({
      tool: 'holdwatt',
      command: 'desk',
      warnings: [],
      desk: file,
    })
  })

  it('leaves a file alone that is not its own', async () => {
    const file = join(folder, 'notes.html')
    await writeFile(file, 'my notes')
    expect((await run(['desk', '--out', file])).status).toBe(2)
    expect(await readFile(file, 'utf8')).toBe('my notes')
  })
})
