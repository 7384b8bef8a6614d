import { execFileSync } from 'node:child_process'
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { findSensors } from '../../src/record/sensors/findSensors.js'
import { readSysfs } from '../../src/record/sensors/readSysfs.js'
import { sheetKeeper } from '../../src/record/session/sheetKeeper.js'
import { writeRecording } from '../../src/record/session/writeRecording.js'
import { machine, treeOf } from './fakeMachine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-record-'))
const tiny = join(folder, 'tiny')
const isTiny = mountTiny()
afterAll(() => {
  if (isTiny) execFileSync('umount', [tiny])
  rmSync(folder, { recursive: true, force: true })
})
const fresh = (force = false) => ({ head: ['head'], force })

describe('the file of a recording', () => {
  it('holds each line as soon as it is written, and never replaces another unasked', async () => {
    const path = join(folder, 'a.csv')
    const file = await writeRecording(path, fresh())
    file.writeLine('one')
    expect(readFileSync(path, 'utf8')).toBe('head\none\n')
    file.writeLine('two')
    await file.close()
    expect(readFileSync(path, 'utf8')).toBe('head\none\ntwo\n')
    await expect(writeRecording(path, fresh())).rejects.toMatchObject({
      code: 'file-exists',
      details: { remedy: expect.stringMatching(/--out.*--force.*--resume/) },
    })
    const second = await writeRecording(path, fresh(true))
    await second.discard()
    expect(existsSync(path)).toBe(false)
    await expect(writeRecording(join(folder, 'none', 'b.csv'), fresh())).rejects.toMatchObject({
      code: 'file-not-writable',
    })
    expect(readdirSync(folder).filter((name) => name.includes('partial'))).toEqual([])
  })

  it.skipIf(!isTiny)('ends with a whole line when the disk is full, and says how to go on', async () => {
    const path = join(tiny, 'full.csv')
    const file = await writeRecording(path, fresh())
    const row = 'x'.repeat(999)
    const fill = () => {
      for (let i = 0; i < 1000; i++) file.writeLine(row)
    }
    expect(fill).toThrow(
      expect.objectContaining({
        code: 'file-not-writable',
        message: expect.stringContaining('the disk is full'),
        details: expect.objectContaining({ remedy: expect.stringContaining('--resume') }),
      }),
    )
    await file.close()
    const lines = readFileSync(path, 'utf8').split('\n')
    expect(lines.at(-1)).toBe('')
    expect(lines.slice(1, -1).every((line) => line === row)).toBe(true)
    expect(lines.length).toBeGreaterThan(30)
  })
})

describe('the sheet of a recording', () => {
  const head = {
    machine: 'M',
    chip: 'C',
    chassis: 'H',
    ambientC: null,
    workload: { name: 'w', score: 's', better: 'lower' as const },
  }
  const begun = { log: 'a.csv', power: null, runs: [], sleeps: [] }
  const run = { number: 1, startS: 1, endS: 2, status: 0, signal: null, score: 1 }

  it('is whole after each run', async () => {
    const path = join(folder, 'run.yaml')
    const keeper = sheetKeeper(path, head, begun, false)
    await keeper.write()
    expect(readFileSync(path, 'utf8')).not.toContain('score: 1 }')
    await keeper.add(run)
    await keeper.add({ ...run, number: 2 })
    expect(readFileSync(path, 'utf8').match(/score: 1 }/g)).toHaveLength(2)
    await keeper.discard()
    expect(existsSync(path)).toBe(false)
  })

  it('never takes the place of a sheet that somebody wrote, whose name nobody gave', async () => {
    const path = join(folder, 'mine.yaml')
    writeFileSync(path, 'machine: mine\n')
    for (const allowed of [false, true]) {
      await expect(sheetKeeper(path, head, begun, allowed).write()).rejects.toMatchObject({
        code: 'file-exists',
      })
    }
    await sheetKeeper(path, head, begun, true).discard()
    expect(readFileSync(path, 'utf8')).toBe('machine: mine\n')
  })

  it('is none without a command', async () => {
    const keeper = sheetKeeper(null, head, begun, false)
    await keeper.write([{ atS: 1, forS: 2 }])
    expect(keeper.trial().sleeps).toHaveLength(1)
  })
})

describe('the tree of counters on disk', () => {
  it('reads like the one in memory', () => {
    const sysfs = join(folder, 'sys')
    for (const [path, text] of machine(5_000_000)) {
      mkdirSync(dirname(join(sysfs, path)), { recursive: true })
      writeFileSync(join(sysfs, path), `${text}\n`)
    }
    expect(findSensors(readSysfs(sysfs))).toEqual(findSensors(treeOf(machine())))
    expect(readSysfs(sysfs).list('no/such/folder')).toEqual([])
    expect(readSysfs(sysfs).read('no/such/file')).toEqual({ problem: 'missing' })
    expect(readSysfs(sysfs).read('class')).toEqual({ problem: 'failed' })
    if (process.getuid?.() !== 0) {
      chmodSync(join(sysfs, 'class/powercap/zone:0/energy_uj'), 0)
      expect(readSysfs(sysfs).read('class/powercap/zone:0/energy_uj')).toEqual({ problem: 'denied' })
    }
  })
})

/** A disk of 64 KiB, where this user may mount one. */
function mountTiny(): boolean {
  try {
    mkdirSync(tiny)
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=64k', 'holdwatt-test', tiny], { stdio: 'ignore' })
    return true
  } catch {
    return false
  }
}
