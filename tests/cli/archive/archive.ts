import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterAll } from 'vitest'

/** A small archive in a folder of its own: logs of made-up machines that hold what their names say. */
export interface Archive {
  readonly folder: string
  readonly path: (name: string) => string
  readonly write: (name: string, content: string) => string
  readonly link: (name: string, target: string) => void
}

/** Makes an empty archive; it is taken away after the tests of the file. */
export function makeArchive(): Archive {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-archive-'))
  afterAll(() => rmSync(folder, { recursive: true, force: true }))
  const path = (name: string) => join(folder, name)
  const place = (name: string) => {
    mkdirSync(dirname(path(name)), { recursive: true })
    return path(name)
  }
  return {
    folder,
    path,
    write: (name, content) => {
      const file = place(name)
      writeFileSync(file, content)
      return file
    },
    link: (name, target) => symlinkSync(target, place(name)),
  }
}

/** Four minutes of a log: idle, a burst of `burstW` for 20 s, then `holdW`; a little ripple instead of noise. */
export function stepLog(burstW: number, holdW: number): string {
  const rows = Array.from({ length: 240 }, (_, second) => {
    const levelW = second < 15 ? 4 : second < 35 ? burstW : holdW
    return `${second},${(levelW + ((second * 7) % 5) / 10).toFixed(1)}`
  })
  return `time_s,power_w\n${rows.join('\n')}\n`
}

export const BAD_LOG = 'colour,shape\nred,round\n'
