import { describe, expect, it } from 'vitest'
import { readLog } from '../../../src/files/readLog.js'
import { findLoads } from '../../../src/segment/findLoads.js'

/** What held the last stage of the longest load of a sample; samples/README.md says what is true of each. */
async function heldBy(sample: string): Promise<{ label: string; evidence: readonly string[] }> {
  const { trace } = await readLog(new URL(`../../../samples/${sample}`, import.meta.url).pathname)
  const loads = [...findLoads(trace)].sort((a, b) => b.endS - b.startS - (a.endS - a.startS))
  return loads[0]!.stages.at(-1)!.heldBy
}

describe('what holds a loop with pauses', () => {
  it.each(['ibis-loop.tsv', 'ibis-compile.tsv'])(
    'is heat where every run gives way slowly at a ceiling: %s',
    async (sample) => {
      const { label, evidence } = await heldBy(sample)
      expect(label).toBe('heat')
      expect(evidence.join(' ')).toMatch(/95 °C/)
    },
  )

  it.each(['heron-compile.csv', 'bittern-compile.csv'])(
    'is a set limit where runs open with a burst that a controller ends: %s',
    async (sample) => {
      expect((await heldBy(sample)).label).toBe('power-limit')
    },
  )
})
