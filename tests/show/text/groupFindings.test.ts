import { describe, expect, it } from 'vitest'
import { groupFindings } from '../../../src/show/text/groupFindings.js'

const found = (about: readonly string[] | undefined, body: string, atS: number | null = 90) => ({
  ...{ code: 'started-warm', severity: 'caution', atS },
  message: `${(about ?? []).map((name) => `${name}: `).join('')}${body}`,
  ...(about === undefined ? {} : { about }),
})

describe('findings of one sheet', () => {
  it('that differ in figures and owner alone are told once, with place and figures of the others', () => {
    const [group, ...rest] = groupFindings([
      found(['flight', '../logs/a.csv'], 'It was still cooling, by 25 K, when the load began.'),
      found(['flight', '../logs/b.csv'], 'It was still cooling, by 33 K, when the load began.', 772),
      found(['encode 2', '../logs/a.csv'], 'It was still cooling, by 25 K, when the load began.', null),
    ])
    expect(rest).toEqual([])
    expect(group!.first.message).toContain('by 25 K')
    expect(group!.others).toBe('flight: b.csv at 12:52 (33 K); encode 2: a.csv')
  })

  it('that say something else, or of whom nobody is named, stand alone', () => {
    const findings = [
      found(['a.csv'], 'It had rested for 90 s only.'),
      found(['a.csv'], 'It was still cooling, by 9 K.'),
      found(undefined, 'One run scored 90.'),
      found(undefined, 'One run scored 80.'),
    ]
    expect(groupFindings(findings)).toEqual(findings.map((first) => ({ first, others: '' })))
  })
})
