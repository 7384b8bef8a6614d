import { expect, it } from 'vitest'
import type { Workload } from '../../../src/physics/chip/chip.js'
import { isSameWorkload, workloadKey } from '../../../src/physics/chip/sameWorkload.js'

const render: Workload = { name: 'tile render', score: 'points', better: 'higher' }

it('the same work has the same name, unit and direction of its score', () => {
  expect(isSameWorkload(render, { better: 'higher', score: 'points', name: 'tile render' })).toBe(true)
  for (const other of [{ name: 'tile render 2' }, { score: 's' }, { better: 'lower' }] as const)
    expect(isSameWorkload(render, { ...render, ...other })).toBe(false)
  // What belongs to the name is not taken for the unit.
  expect(workloadKey({ ...render, name: 'a', score: 'b c' })).not.toBe(
    workloadKey({ ...render, name: 'a b', score: 'c' }),
  )
})
