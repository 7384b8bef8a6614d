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

it('reads text in UTF-8, UTF-16, Windows-1252 and Shift JIS, and refuses what is none', async () => {
  expect(await readTextFile(file('a.yaml', Buffer.from('\ufeffmachine: Wren °', 'utf8')))).toBe(
    'machine: Wren °',
  )
  expect(await readTextFile(file('b.yaml', Buffer.from('\ufeffchip: A', 'utf16le')))).toBe('chip: A')
  expect(await readTextFile(file('d.csv', Buffer.from('Gerät;Tâche', 'latin1')))).toBe('Gerät;Tâche')
  // 機種 as the WHATWG table has it.
  const japanese = Uint8Array.of(0x8b, 0x40, 0x8e, 0xed, 0x2c, 0x61)
  expect(await readTextFile(file('e.csv', japanese))).toBe('機種,a')
  await expect(readTextFile(file('c.csv', Uint8Array.of(80, 75, 3, 4, 0, 1)))).rejects.toMatchObject({
    code: 'not-text',
  })
})
