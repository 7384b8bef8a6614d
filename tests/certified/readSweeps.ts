import { existsSync, readdirSync, readFileSync } from 'node:fs'
import type { SweepTable } from './foretellSweep.js'

/** A table of score against power, and what it was measured on. */
export interface PublishedSweep {
  readonly kind: 'processor' | 'board'
  readonly table: SweepTable
}

/** From the project's root, where tests and studies run; a study is bundled elsewhere. */
const FILE = 'tests/certified/publishedSweeps.json'

/** Tables whose licences (MIT and Apache-2.0) let them be shipped; sources stand in the file. */
export function shippedSweeps(): readonly PublishedSweep[] {
  const { sources } = JSON.parse(readFileSync(FILE, 'utf8')) as {
    readonly sources: readonly {
      readonly kind: PublishedSweep['kind']
      readonly tables: readonly SweepTable[]
    }[]
  }
  return sources.flatMap(({ kind, tables }) => tables.map((table) => ({ kind, table })))
}

/** Tables of a folder outside of the project that may not be shipped: `power_w,rate` in CSV files, listed in an index.json. */
export function sweepsOfFolder(folder: URL): readonly PublishedSweep[] {
  if (!existsSync(new URL('index.json', folder))) return []
  const index = JSON.parse(readFileSync(new URL('index.json', folder), 'utf8')) as readonly {
    readonly file: string
    readonly kind: string
    readonly licence: string
  }[]
  const present = new Set(readdirSync(folder))
  return index
    .filter(({ file, licence }) => present.has(file) && !SHIPPED.test(licence))
    .map(({ file, kind }) => ({
      kind: kind === 'cpu' ? 'processor' : 'board',
      table: readTable(new URL(file, folder)),
    }))
}

const SHIPPED = /^(MIT|Apache-2\.0)$/

function readTable(file: URL): SweepTable {
  const lines = readFileSync(file, 'utf8').trim().split('\n').slice(1)
  return lines.map((line) => {
    const [powerW, rate] = line.split(',').map(Number)
    return [powerW!, rate!] as const
  })
}
