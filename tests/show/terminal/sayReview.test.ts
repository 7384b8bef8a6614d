import { describe, expect, it } from 'vitest'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { sayReview } from '../../../src/show/terminal/sayReview.js'
import { reviewedMachine, reviewedTest } from '../../predict/review/reviewFixture.js'

const NAMES = ['Avocet', 'Curlew', 'Plover', 'Snipe', 'Wigeon']

function said(count: number, width = 80): string {
  const machines = NAMES.slice(0, count).map((name, index) =>
    reviewedMachine(name, [reviewedTest({ scores: [100 + index, 100.4 + index, 99.6 + index] })]),
  )
  return sayReview(reviewMachines(machines), { width, colour: false })
}

const headings = (text: string) =>
  text.split('\n').filter((line) => /^ {2}workload .*(Avocet|Snipe)/.test(line))

describe('a review of many machines', () => {
  it('tells the pairs of the first alone, and where the others stand', () => {
    const pairs = said(5).match(/how much faster \w+ is than \w+/g)
    expect(pairs).toEqual(NAMES.slice(1).map((name) => `how much faster Avocet is than ${name}`))
    expect(said(5)).toContain('These are the pairs of Avocet, the first named')
    expect(said(5)).not.toMatch(/Mains: Curlew is/)
    expect(said(4).match(/how much faster/g)).toHaveLength(6)
    expect(said(4)).not.toContain('the first named')
  })

  it('sets as many machines side by side as there is room for', () => {
    expect(headings(said(5)).map((line) => line.trim().split(/ {2,}/))).toEqual([
      ['workload', 'Avocet', 'Curlew', 'Plover'],
      ['workload', 'Snipe', 'Wigeon'],
      ...headings(said(5))
        .slice(2)
        .map((line) => line.trim().split(/ {2,}/)),
    ])
    expect(headings(said(5, 130))[0]!.trim().split(/ {2,}/)).toEqual(['workload', ...NAMES])
    expect(
      Math.max(
        ...said(5)
          .split('\n')
          .map((line) => line.length),
      ),
    ).toBeLessThanOrEqual(80)
  })
})
