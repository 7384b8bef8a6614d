import { describe, expect, it } from 'vitest'
import { reviewMachines } from '../../../../src/predict/review/reviewMachines.js'
import type { Html } from '../../../../src/show/figures/html.js'
import { reviewCharts } from '../../../../src/show/page/review/reviewCharts.js'
import {
  causesSection,
  meansSection,
  modesSection,
  quoteSection,
  scoresSection,
} from '../../../../src/show/page/review/reviewSections.js'
import { reviewedMachine, reviewedTest } from '../../../predict/review/reviewFixture.js'

const BIRDS = ['Heron', 'Ibis', 'Plover', 'Bittern', 'Dunlin']
const scores = (score: number) => [score, score * 1.002, score * 0.998]
const machine = (name: string, index: number, powerW: number | null = 60) =>
  reviewedMachine(name, [
    reviewedTest({ scores: scores(100 + 5 * index), powerW }),
    reviewedTest({ scores: scores(80), task: 'encode', powerW }),
  ])
const five = reviewMachines(BIRDS.map((name, index) => machine(name, index)))
const textOf = (section: Html | null) => section!.markup.replaceAll('\u00a0', ' ')

describe('the sections of a review', () => {
  it('put the pairs of many machines behind an opener, but for those of the machine that is named first', () => {
    for (const section of [quoteSection(five), causesSection(five)]) {
      const [shown, others] = textOf(section).split('<details>')
      expect(shown).toContain('Ibis')
      expect(shown).not.toMatch(/Ibis is|Ibis faster or slower/)
      expect(others).toMatch(/<summary>The same between the other machines \(6\)<\/summary>/)
    }
    const three = reviewMachines(BIRDS.slice(0, 3).map((name, index) => machine(name, index)))
    expect(textOf(quoteSection(three))).not.toContain('<details>')
  })

  it('of one machine tell its scores, and nothing of pairs or of equal power', () => {
    const alone = reviewMachines([machine('Heron', 0)])
    expect(meansSection(alone)).toBeNull()
    expect(causesSection(alone)).toBeNull()
    expect(modesSection(alone)).toBeNull()
    expect(reviewCharts(alone)).toEqual([])
    expect(textOf(scoresSection(alone))).not.toMatch(/[Ee]qual power:|score of the chips/)
    expect(textOf(scoresSection(alone))).toMatch(/100\.0 <span class="interval">/)
  })

  it('say of which scores less is better', () => {
    const timed = reviewedTest({
      task: 'encode',
      metric: 'time',
      workload: { name: 'encode', score: 's', better: 'lower' },
    })
    const review = reviewMachines([reviewedMachine('Heron', [reviewedTest(), timed])])
    expect(textOf(scoresSection(review))).toContain('Lower is better in encode, higher in all others.')
    expect(textOf(scoresSection(five))).toContain('Higher scores are better.')
  })
})

describe('the charts of a review', () => {
  it('stand for every pair of machines in every mode, each under a name of its own', () => {
    const names = reviewCharts(five).map(({ name }) => name)
    expect(names).toHaveLength(10)
    expect(new Set(names).size).toBe(10)
    expect(names[0]).toBe('review-mains-heron-ibis')
  })

  it('give two machines two colours, also where the colours of many start again', () => {
    const chart = reviewCharts(five).find(({ name }) => name === 'review-mains-heron-dunlin')!
    const drawn = JSON.stringify(chart.specify({ widthPx: 800, theme: colours(), titled: false }))
    expect(drawn).toContain('second')
    expect(drawn).not.toContain('"first')
  })

  it('say nothing of equal power where the power of no workload is known', () => {
    const powerless = reviewMachines(BIRDS.slice(0, 2).map((name, index) => machine(name, index, null)))
    const [chart] = reviewCharts(powerless)
    expect(chart!.subtitle).not.toMatch(/equal power/)
    expect(chart!.summary).toMatch(/render: .* as tested, power not known/)
  })
})

/** A theme of names, to see which colours are taken: Dunlin is ahead, and Heron has the first. */
function colours() {
  const names = ['background', 'ink', 'faint', 'grid', 'raw', 'undetermined', 'undeterminedText'] as const
  const plain = Object.fromEntries(names.map((name) => [name, name]))
  const machines = ['first', 'second', 'third', 'fourth'].flatMap((name, index) => [
    [`machine${index + 1}`, name],
    [`machine${index + 1}Text`, `${name}Text`],
  ])
  return { ...plain, ...Object.fromEntries(machines) }
}
