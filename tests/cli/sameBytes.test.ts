import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { root, runBuilt } from './commandLine.js'

// One answer, to the last digit, wherever and however often it is asked for.

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-same-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Environments that change how programs write numbers, dates and letters, or what time it is. */
const ENVIRONMENTS: readonly (readonly [string, NodeJS.ProcessEnv])[] = [
  [
    'a time zone far east, with German numbers',
    { TZ: 'Pacific/Kiritimati', LANG: 'de_DE.UTF-8', LC_ALL: 'de_DE.UTF-8' },
  ],
  [
    'a time zone with half hours, and Turkish letters',
    { TZ: 'Asia/Kolkata', LANG: 'tr_TR.UTF-8', LC_ALL: 'tr_TR.UTF-8' },
  ],
  ['a zone with summer time, and no language', { TZ: 'America/New_York', LANG: 'C', LC_ALL: 'C' }],
  ['Arabic figures', { TZ: 'Africa/Cairo', LANG: 'ar_EG.UTF-8', LC_ALL: 'ar_EG.UTF-8', LANGUAGE: 'ar' }],
]

/** One command of each kind, quick ones: JSON and text, local stamps, noted levels, a projection from models. */
const COMMANDS: readonly (readonly string[])[] = [
  ['stages', 'heron-loop.csv', '--json'],
  ['check', 'bittern-loop.csv'],
  ['fit', 'bittern-noted.yaml', '--json'],
]

describe('the same question', () => {
  it.each(COMMANDS)(
    'gets the same bytes from `%s %s` under every time zone and locale, and from another folder',
    async (...words) => {
      const samples = join(root, 'samples')
      const there = await runBuilt(words, { cwd: samples })
      expect(there.stdout.length).toBeGreaterThan(100)
      for (const name of ['heron-loop.csv', 'bittern-loop.csv', 'bittern-noted.yaml'])
        copyFileSync(join(samples, name), join(folder, name))
      for (const [which, env] of ENVIRONMENTS)
        expect({ which, ...(await runBuilt(words, { cwd: folder, env })) }).toEqual({ which, ...there })
    },
  )
})
