import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { makeSamples } from '../../samples/scenario.js'

describe('the samples', () => {
  const files = makeSamples()

  it('come out of their generator byte for byte as they are committed', () => {
    for (const { name, bytes } of files) {
      const committed = readFileSync(new URL(`../../samples/${name}`, import.meta.url))
      expect(Buffer.compare(committed, bytes), name).toBe(0)
    }
  })

  it('are logs of less than 200 kB, and a sheet for each', () => {
    for (const { bytes } of files) expect(bytes.length).toBeLessThan(200_000)
    expect(files.filter(({ name }) => name.endsWith('.yaml'))).toHaveLength(7)
  })
})
