import { expect, it } from 'vitest'
import type { ReviewedMachine } from '../../src/machine/review/fitReview.js'
import { reviewWarnings } from '../../src/machine/review/reviewWarnings.js'

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
