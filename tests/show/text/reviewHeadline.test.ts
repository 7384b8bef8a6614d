import { describe, expect, it } from 'vitest'
import { type Review, reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { headlineOfReview } from '../../../src/show/text/reviewHeadline.js'
import { reviewedMachine, reviewedTest } from '../../predict/review/reviewFixture.js'

const scores = (score: number) => [score, score * 1.002, score * 0.998]
const machine = (name: string, mains: number, battery: number, chip?: string) =>
  reviewedMachine(
    name,
    [
      reviewedTest({ scores: scores(mains) }),
      reviewedTest({ scores: scores(battery), mode: 'battery', powerW: 30 }),
    ],
    chip,
  )
const headline = (...machines: Parameters<typeof reviewMachines>[0]) =>
  headlineOfReview(reviewMachines(machines))

describe('the verdict of a review', () => {
  it('names the machine that is surely ahead of every other in every mode', () => {
    expect(headline(machine('Ibis', 120, 90), machine('Heron', 100, 80), machine('Plover', 90, 70))).toMatch(
      /^Ibis is the fastest in every power mode; at equal power none is clearly ahead$/,
    )
  })

  it('tells modes apart where another machine leads, or none', () => {
    expect(headline(machine('Ibis', 120, 80), machine('Heron', 100, 90))).toBe(
      'Mains: Ibis is faster; battery: Heron is faster',
    )
    expect(headline(machine('Ibis', 120, 80), machine('Heron', 100, 80.05), machine('Plover', 90, 70))).toBe(
      'Mains: Ibis is the fastest; battery: no machine is clearly ahead',
    )
  })

  it('says of machines with one chip that it is the same, and of level machines that none leads', () => {
    expect(headline(machine('Ibis', 120, 90, 'K'), machine('Heron', 100, 80, 'K'))).toBe(
      'Ibis is faster than Heron in every power mode; the chip is the same',
    )
    expect(headline(machine('Ibis', 100, 80), machine('Heron', 100.05, 80.05))).toBe(
      'No machine is clearly ahead of all others in every power mode',
    )
  })

  it('says of one pair in one mode by how much', () => {
    const one = (name: string, score: number) =>
      reviewedMachine(name, [reviewedTest({ scores: scores(score), mode: null, powerW: 40 })])
    expect(headline(one('Ibis', 120), one('Heron', 100)).replaceAll('\u00a0', ' ')).toMatch(
      /^Ibis is 20\.\d % faster than Heron; at equal power neither is clearly ahead$/,
    )
  })

  it('says of one machine what its modes keep, or how many workloads it ran', () => {
    expect(headline(machine('Ibis', 100, 80)).replaceAll('\u00a0', ' ')).toMatch(
      /^Ibis: battery gives 80\.\d % of the speed of mains$/,
    )
    expect(headline(reviewedMachine('Ibis', [reviewedTest()]))).toBe('Ibis in 1 workload')
  })

  it('says of machines without a workload in common that they have none', () => {
    const other = reviewedMachine('Heron', [reviewedTest({ task: 'encode' })])
    const review: Review = reviewMachines([reviewedMachine('Ibis', [reviewedTest()]), other])
    expect(headlineOfReview(review)).toBe('Ibis, Heron: no workload in common')
  })
})
