import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { syncBuiltinESMExports } from 'node:module'
import os, { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { writeFileSafely } from '../../src/files/writeFileSafely.js'
import { noteTemporary, removeTemporaries, watchTemporaries } from '../../src/files/writeTemporary.js'
import { writeFonts } from '../../src/show/page/writeFonts.js'

// As on a system where a file can't lose its name and be read.
const { platform } = os
const answerPlatform = (answer: typeof platform) => {
  os.platform = answer
  syncBuiltinESMExports()
}
beforeAll(() => answerPlatform(() => 'darwin'))
afterAll(() => answerPlatform(platform))

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-temporary-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('what a process makes for a moment', () => {
  it('is listened for only while there is any', () => {
    const told: string[] = []
    watchTemporaries(() => {
      told.push('begun')
      return () => told.push('ended')
    })
    const [first, second] = [noteTemporary('a'), noteTemporary('b')]
    first()
    first()
    expect(told).toEqual(['begun'])
    second()
    expect(told).toEqual(['begun', 'ended'])
    watchTemporaries(() => () => undefined)
  })

  it('can be taken away in the middle of a write, and leaves nothing behind', async () => {
    const writing = writeFileSafely(join(folder, 'big.bin'), Buffer.alloc(2 ** 25), {
      mayReplace: async () => true,
    })
    const partial = () => readdirSync(folder).filter((name) => name.endsWith('.partial'))
    while (partial().length === 0) await new Promise((resolve) => setImmediate(resolve))
    removeTemporaries()
    expect(partial()).toEqual([])
    await expect(writing).rejects.toMatchObject({ code: 'file-not-writable' })
    expect(readdirSync(folder)).toEqual([])
  })

  it('is the folder of fonts, too, where it stands for as long as pictures are drawn', async () => {
    const { paths, remove } = await writeFonts()
    expect(paths.every((path) => existsSync(path))).toBe(true)
    removeTemporaries()
    expect(paths.some((path) => existsSync(path))).toBe(false)
    remove()
  })
})
