import { describe, expect, it } from 'vitest'
import { listNames } from '../../../src/log/table/listNames.js'

describe('names in a message', () => {
  it('are the first few in quotes, however many and however long', () => {
    expect(listNames(['a', 'b'])).toBe('"a", "b"')
    const text = listNames(Array<string>(5000).fill('x'.repeat(9000)))
    expect(text).toMatch(/ and 4992 more$/)
    expect(text.length).toBeLessThan(400)
  })
})
