import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { parse as csvParse } from 'csv-parse/sync'
import papaparse from 'papaparse'
import { inferSchema, initParser } from 'udsv'
import { parseLog } from '../../src/log/parseLog.js'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { growthExponent } from './growthExponent.js'
import { type Measured, measure } from './measure.js'

const SIZES = [10_000, 100_000, 1_000_000] as const

/**
 * Reading beside one pass over the bytes and beside tokenisers that make text of every cell; then stages, in a process of its own, as a
 * multiple of a pass there.
 */
export async function readingTable(): Promise<readonly string[]> {
  const rows: string[] = []
  for (const [name, write] of Object.entries(FORMS)) {
    const points: { count: number; ms: number }[] = []
    for (const count of SIZES) {
      const text = write(count)
      const bytes = Buffer.from(text)
      const measured = await measure(
        [
          { name: 'scan', run: () => countLines(bytes) },
          { name: 'read', run: () => parseLog(bytes) },
          { name: 'uDSV', run: () => initParser(inferSchema(text)).stringArrs(text) },
          { name: 'papaparse', run: () => papaparse.parse(text) },
          ...(count > 100_000 ? [] : [{ name: 'csv-parse', run: () => csvParse(text) }]),
        ],
        { rounds: count > 100_000 ? 3 : 5 },
      )
      points.push({ count, ms: medianOf(measured, 'read') })
      rows.push(rowOf(name, count, measured, stagesAlone(text)))
    }
    rows.push(`| ${name}, growth of reading | ${growthExponent(points)?.toFixed(2)} | | | | | | |`)
  }
  return [
    '## Reading a log: processor time, median (quickest to slowest round)',
    '',
    '| log | rows | byte scan | parseLog | uDSV | papaparse | csv-parse | parseLog and findLoads, alone |',
    '| --- | --: | --: | --: | --: | --: | --: | --: |',
    ...rows,
  ]
}

function rowOf(name: string, count: number, measured: readonly Measured[], alone: string): string {
  const scanMs = medianOf(measured, 'scan')
  const cells = ['scan', 'read', 'uDSV', 'papaparse', 'csv-parse'].map((key) => {
    const times = measured.find((one) => one.name === key)?.times
    if (times === undefined) return 'left out'
    const { medianMs, lowMs, highMs } = times
    return `${medianMs.toFixed(1)} ms (${lowMs.toFixed(1)} to ${highMs.toFixed(1)}), ${(medianMs / scanMs).toFixed(1)} ×`
  })
  return `| ${name} | ${count} | ${cells.join(' | ')} | ${alone} |`
}

/** Time of `stages` by itself, and as a multiple of a byte scan in the same process. */
function stagesAlone(text: string): string {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-bench-'))
  try {
    const log = join(folder, 'log.csv')
    writeFileSync(log, text)
    const script = ['tests/bench/peers/stages.mjs', resolve('dist/index.js'), log]
    const { stdout } = spawnSync(process.execPath, script, { encoding: 'utf8' })
    const timesOf = (name: string) => {
      const line = stdout.split('\n').find((one) => one.startsWith(`${name} |`))
      return (line?.split('|')[1] ?? '').trim().split(' ').map(Number)
    }
    const [scan, stages] = [timesOf('scan'), timesOf('stages')]
    const medianMs = quantile(stages, 0.5)
    const range = `${Math.min(...stages).toFixed(1)} to ${Math.max(...stages).toFixed(1)}`
    return `${medianMs.toFixed(1)} ms (${range}), ${(medianMs / quantile(scan, 0.5)).toFixed(1)} ×`
  } finally {
    rmSync(folder, { recursive: true })
  }
}

function medianOf(measured: readonly Measured[], name: string): number {
  return measured.find((one) => one.name === name)?.times?.medianMs ?? Number.NaN
}

function countLines(bytes: Uint8Array): number {
  let lines = 0
  for (let i = 0; i < bytes.length; i++) if (bytes[i] === 0x0a) lines++
  return lines
}

const FORMS = {
  'elapsed seconds': (count: number) =>
    written(count, 'time_s,power_w,temp_c', (i, w) => `${i}.000,${w},61.5`),
  'ISO stamps, 8 columns': (count: number) =>
    written(
      count,
      'Time,Package power [W],Package temperature [degC],Core clock (MHz),Cores power [W],Memory power [W],Fan [rpm],Remark',
      (i, w) => `${stamp(i)},${w},61.5,2841.3,2.82,1.18,1360,`,
    ),
  'all cells quoted': (count: number) =>
    written(count, '"Time","Power [W]","Temp [degC]"', (i, w) => `"${stamp(i)}","${w}","61.5"`),
} as const

function stamp(second: number): string {
  return new Date(1.7e12 + 1000 * second).toISOString()
}

/** One load in the middle: a burst, and what it settles at. */
function written(count: number, header: string, row: (i: number, powerW: string) => string): string {
  const random = seededRandom(count)
  const rows = Array.from({ length: count }, (_, i) => {
    const share = i / count
    const levelW = share < 0.05 || share > 0.95 ? 5 : share < 0.1 ? 95 : 55
    return row(i, (levelW + random.normal()).toFixed(3))
  })
  return `${header}\n${rows.join('\n')}\n`
}
