import { describe, expect, it } from 'vitest'
import type { Review } from '../../../src/predict/review/reviewMachines.js'
import { listed, sayBasis } from '../../../src/show/text/sayReviewText.js'

const results = (...bases: readonly (readonly [string, string])[]) =>
  bases.map(([workload, basis]) => ({ workload, basis })) as unknown as Review['results']

describe('which runs scores are means of', () => {
  it('is told once where all count alike', () => {
    expect(sayBasis(results(['sort', 'all'], ['pack', 'all']))).toBe(
      'Scores as tested are means of all runs.',
    )
  })

  it('is told by its rule where the modes of a workload differ, and in one clause where all had settled', () => {
    expect(sayBasis(results(['tiles', 'steady'], ['tiles', 'all'], ['pack', 'all']))).toBe(
      'Scores as tested are means of the last three runs where the power had settled on every machine, else of all runs.',
    )
    expect(sayBasis(results(['tiles', 'steady'], ['pack', 'steady']))).toBe(
      'Scores as tested are means of the last three runs, where the power had settled on every machine.',
    )
  })

  it('names each workload once that counts its last runs', () => {
    expect(
      sayBasis(results(['tiles', 'steady'], ['pack', 'steady'], ['tiles', 'steady'], ['sort', 'all'])),
    ).toBe(
      'Scores as tested are means of all runs; those of tiles and pack are of the last three runs, where the power had settled on every machine.',
    )
  })
})

it('names with commas of their own are set apart by semicolons', () => {
  expect(listed(['tiles', 'pack', 'sort'])).toBe('tiles, pack and sort')
  expect(listed(['tiles, big', 'pack'])).toBe('tiles, big; and pack')
  expect(listed(['sort'])).toBe('sort')
  expect(listed([])).toBe('')
})
