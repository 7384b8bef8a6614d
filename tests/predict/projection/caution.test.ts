import { expect, it } from 'vitest'
import { cautionsFor } from '../../../src/predict/projection/caution.js'

const all = ['raised-limits', 'hot-surfaces', 'battery-and-mains', 'makers-limits']

it('more power than the machine was seen to hold is told with all cautions', () => {
  expect(cautionsFor({ supposedW: 51.1, testedW: 50, heldByHeat: false })).toEqual(all)
  expect(cautionsFor({ supposedW: 51, testedW: 50, heldByHeat: false })).toEqual([])
  expect(cautionsFor({ supposedW: 20, testedW: null, heldByHeat: false })).toEqual(all)
  expect(cautionsFor({ supposedW: 51.1, testedW: 50, heldByHeat: true })).toEqual(all)
})

it('power that heat holds down is told with its own', () => {
  expect(cautionsFor({ supposedW: 45, testedW: 50, heldByHeat: true })).toEqual([
    'hot-surfaces',
    'makers-limits',
  ])
})
