import { expect, it } from 'vitest'
import { fitReview, type ReviewedMachine } from '../../src/machine/review/fitReview.js'
import { readReviewTests } from '../../src/machine/review/readReview.js'
import { reviewWarnings } from '../../src/machine/review/reviewWarnings.js'
import { parseReview } from '../../src/sheet/parseReview.js'

it('a warning of a review says which machine, workload and mode it is about; one of a curve names the chip', () => {
  const test = (mode: string | null, chipCodes: readonly string[]) => ({
    ...{ workload: { name: 'tiles' }, mode },
    warnings: [{ code: 'run-lengths-supposed' }],
    chipWarnings: chipCodes.map((code) => ({ code })),
  })
  const machine = {
    machine: 'Heron 14',
    chip: 'Kestrel 16',
    tests: [test('quiet', ['curve']), test(null, [])],
  }
  expect(reviewWarnings([machine as unknown as ReviewedMachine])).toEqual([
    { code: 'run-lengths-supposed', about: 'Heron 14, tiles @ quiet' },
    { code: 'curve', about: 'Kestrel 16, tiles' },
    { code: 'run-lengths-supposed', about: 'Heron 14, tiles' },
  ])
})

it('a run off the curve is told of the mode that it was made in, with its score', async () => {
  const trial = (mode: string, watts: number, scores: readonly number[]) =>
    `  - { workload: tiles, mode: ${mode}, noted: [ { power: ${watts} W } ], runs: [ ${scores
      .map((score, index) => `{ score: ${score}, after: ${index} min, for: 50 s }`)
      .join(', ')} ] }`
  const text = [
    'machine: Heron 14\nchip: Kestrel 16\nchassis: slim\nworkloads: [ { name: tiles, score: points, better: higher } ]\ntrials:',
    trial('quiet', 40, [10000, 10010, 9990, 10005, 9995]),
    trial('fast', 60, [12500, 12510, 12490, 11000, 12505]),
  ].join('\n')
  const read = await readReviewTests(parseReview(text, 'heron.yaml'), new Map())
  const off = reviewWarnings(fitReview([read])).filter(({ code }) => code === 'run-off-curve')
  expect(off).toMatchObject([{ about: 'Heron 14, tiles @ fast', score: 11000, startS: 180 }])
})
