import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { runInside } from './commandLine.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

describe('holdwatt desk', () => {
  it('writes the desk that was built, and again over itself', async () => {
    const file = join(folder, 'desk.html')
    const { status, stdout } = await runInside(['desk', '--out', file])
    expect({ status, out: stdout.trim() }).toEqual({ status: 0, out: file })
    expect(await readFile(file, 'utf8')).toBe(await readFile('dist/desk.html', 'utf8'))
    const again = await runInside(['desk', '--out', file, '--json'])
    expect(again.status).toBe(0)
    expect(JSON.parse(again.stdout)).toMatchObject({
      tool: 'holdwatt',
      command: 'desk',
      warnings: [],
      desk: file,
    })
  })

  it('leaves a file alone that is not its own', async () => {
    const file = join(folder, 'notes.html')
    await writeFile(file, 'my notes')
    expect((await runInside(['desk', '--out', file])).status).toBe(2)
    expect(await readFile(file, 'utf8')).toBe('my notes')
  })
})
