import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { readTextFile } from '../../src/files/readTextFile.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-text-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

function file(name: string, bytes: Uint8Array): string {
  const path = join(folder, name)
  writeFileSync(path, bytes)
  return path
}

it('reads text in UTF-8 and UTF-16, and refuses what is none', async () => {
  expect(await readTextFile(file('a.yaml', Buffer.from('\ufeffmachine: Wren °', 'utf8')))).toBe(
    'machine: Wren °',
  )
  expect(await readTextFile(file('b.yaml', Buffer.from('\ufeffchip: A', 'utf16le')))).toBe('chip: A')
  await expect(readTextFile(file('c.csv', Uint8Array.of(80, 75, 3, 4, 0, 1)))).rejects.toMatchObject({
    code: 'not-text',
  })
})
