import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Chassis } from '../../../../src/physics/loop/chassis.js'
import {
  commandOf,
  fragmentOf,
  orderLimits,
  parseFragment,
  requestOf,
  stateOfChassis,
  type WhatIfMachine,
  type WhatIfState,
} from '../../../../src/show/page/whatIf/whatIfState.js'
import { about } from '../../chartFixture.js'

const chassis: Chassis = {
  name: 'Heron slim',
  idleW: 6,
  burstW: about(104.23, 1),
  burstHoldS: about(20.98, 1),
  shortTermW: null,
  shortTermHoldS: null,
  sustainedW: about(44.21, 0.2),
  budgets: [],
  thermal: null,
  timedSteps: [],
}
const machine = {
  chip: {},
  tested: chassis,
  loop: { runs: 20, gapS: 5 },
  asTested: {},
  sheets: 'heron.yaml',
} as unknown as WhatIfMachine

const watts = fc.double({ min: 1, max: 400, noNaN: true }).map((value) => Math.round(value * 10) / 10)
const anyState = fc.record<WhatIfState>({
  machine: fc.integer({ min: 0, max: 2 }),
  sustainedW: watts,
  shortTermW: watts,
  shortTermForS: watts,
  burstW: watts,
  burstForS: watts,
})

describe('the what-if’s state', () => {
  it('begins with the limits as tested, to a tenth, an unseen stage standing at the sustained power', () => {
    expect(stateOfChassis(chassis, 1)).toEqual({
      machine: 1,
      sustainedW: 44.2,
      shortTermW: 44.2,
      shortTermForS: 60,
      burstW: 104.2,
      burstForS: 21,
    })
  })

  it('survives the way through a link', () => {
    fc.assert(
      fc.property(anyState, (any) => {
        const state = orderLimits(any, 'sustainedW')
        expect(parseFragment(`#${fragmentOf(state)}`, 3)).toEqual(state)
      }),
      { seed: 2 },
    )
  })

  it.each([
    '',
    '#what-if',
    '#machine=1&sustained=-4',
    '#machine=9&sustained=4&short-term=4&short-term-for=4&burst=4&burst-for=4',
    '#machine=1&sustained=Infinity&short-term=4&short-term-for=4&burst=4&burst-for=4',
    '#%E0%A4%A',
  ])('is not taken from a fragment that is none: %s', (fragment) => {
    expect(parseFragment(fragment, 3)).toBeUndefined()
  })

  it('keeps the power that was changed and orders the others around it', () => {
    fc.assert(
      fc.property(anyState, fc.constantFrom('sustainedW', 'shortTermW', 'burstW'), (state, field) => {
        const ordered = orderLimits(state, field as 'sustainedW')
        expect(ordered[field as 'sustainedW']).toBe(state[field as 'sustainedW'])
        expect(ordered.burstW).toBeGreaterThanOrEqual(ordered.shortTermW)
        expect(ordered.shortTermW).toBeGreaterThanOrEqual(ordered.sustainedW)
      }),
      { seed: 3 },
    )
  })

  it('asks for the same as the command that it names', () => {
    const state = {
      machine: 0,
      sustainedW: 60,
      shortTermW: 80,
      shortTermForS: 30,
      burstW: 104.2,
      burstForS: 21,
    }
    expect(commandOf(state, machine)).toBe(
      'holdwatt project heron.yaml --sustained 60W --short-term 80W --short-term-for 30s --burst 104.2W --burst-for 21s',
    )
    expect(requestOf(state, machine).target).toEqual({
      sustainedW: 60,
      shortTermW: 80,
      shortTermForS: 30,
      burstW: 104.2,
      burstForS: 21,
    })
  })

  it('leaves out stages that stand at the power below them', () => {
    const flat = { machine: 0, sustainedW: 60, shortTermW: 60, shortTermForS: 30, burstW: 60, burstForS: 21 }
    expect(commandOf(flat, machine)).toBe('holdwatt project heron.yaml --sustained 60W --burst 60W')
    expect(requestOf(flat, machine).target).toEqual({ sustainedW: 60, burstW: 60 })
  })
})
