import { describe, expect, it } from 'vitest'
import {
  endPower,
  isDecay,
  isRise,
  openingPower,
  partPower,
  startPower,
} from '../../../src/segment/cut/part.js'
import { type Course, makeRun } from '../makeRun.js'

// Expected powers follow from the definition: level + amplitude exp(-t / tau), t since the piece's first sample.

/** The only part of a run that begins 100 s into its log. */
function partOf(...courses: readonly Course[]) {
  const { series, parts } = makeRun({ parts: [courses], startS: 100 })
  return { series, part: parts[0]! }
}

describe('power of a part', () => {
  const { series, part } = partOf(
    { samples: 10, levelW: 100 },
    { samples: 20, levelW: 80, amplitudeW: 10, tauS: 10 },
  )

  it('is that of the piece that the time lies in', () => {
    expect(partPower(part, series, 109.5)).toBe(100)
    expect(partPower(part, series, 110)).toBe(90)
    expect(partPower(part, series, 120)).toBeCloseTo(80 + 10 * Math.exp(-1), 12)
  })

  it('ends at the last sample inside', () => {
    expect(endPower(part, series)).toBeCloseTo(80 + 10 * Math.exp(-1.9), 12)
  })
})

describe('power at the start of a part', () => {
  it('is the level that a controller’s approach leads to, while the opening is where it comes from', () => {
    const { series, part } = partOf({ samples: 20, levelW: 80, amplitudeW: 20, tauS: 2 })
    expect(startPower(part, series)).toBe(80)
    expect(openingPower(part, series)).toBe(100)
    // The edge before the piece may have been given to the part.
    expect(startPower({ ...part, pieces: [{ ...part.pieces[0]!, from: 3 }] }, series)).toBe(80)
  })

  it('is where it begins in a relaxation slower than any controller (4.5 s)', () => {
    const { series, part } = partOf({ samples: 20, levelW: 80, amplitudeW: 20, tauS: 4.5 })
    expect(startPower(part, series)).toBe(100)
  })

  it('is the power at its own first sample where the approach began before it', () => {
    const { series, part } = partOf({ samples: 20, levelW: 80, amplitudeW: 20, tauS: 4 })
    expect(startPower({ ...part, from: 8 }, series)).toBeCloseTo(80 + 20 * Math.exp(-2), 12)
    expect(openingPower({ ...part, from: 8 }, series)).toBeCloseTo(80 + 20 * Math.exp(-2), 12)
  })
})

describe('a decay', () => {
  const decays = (...courses: readonly Course[]) => {
    const { series, part } = partOf(...courses)
    return isDecay(part, series)
  }

  it('falls by more than 3 % of what it comes to', () => {
    expect(decays({ samples: 50, levelW: 103.1 }, { samples: 50, levelW: 100 })).toBe(true)
    expect(decays({ samples: 50, levelW: 102.9 }, { samples: 50, levelW: 100 })).toBe(false)
    expect(decays({ samples: 50, levelW: 10.29 }, { samples: 50, levelW: 10 })).toBe(false)
    expect(decays({ samples: 50, levelW: 10.31 }, { samples: 50, levelW: 10 })).toBe(true)
  })

  it('is seen from 10 s on, when a controller’s approach is over', () => {
    // Left of 30 W after 10 s: 30 exp(-2) = 4.06 W of 100; of 20 W: 2.7 W.
    expect(decays({ samples: 61, levelW: 100, amplitudeW: 30, tauS: 5 })).toBe(true)
    expect(decays({ samples: 61, levelW: 100, amplitudeW: 20, tauS: 5 })).toBe(false)
  })

  it('is seen from a third of a short part on', () => {
    // From 5 s (103.68 W) to 15 s (100.50 W): 3.2 %; from 10 s on it would be 0.9 %.
    expect(decays({ samples: 16, levelW: 100, amplitudeW: 10, tauS: 5 })).toBe(true)
  })

  it('is no approach of a controller, however steep', () => {
    expect(decays({ samples: 7, levelW: 100, amplitudeW: 20, tauS: 4.4 })).toBe(false)
    expect(decays({ samples: 7, levelW: 100, amplitudeW: 20, tauS: 4.5 })).toBe(true)
    expect(decays({ samples: 60, levelW: 100 })).toBe(false)
  })
})

describe('a rise', () => {
  const rises = (...courses: readonly Course[]) => {
    const { series, part } = partOf(...courses)
    return isRise(part, series)
  }

  it('gains more than the 5 % by which a chassis that warms lets power drift', () => {
    expect(rises({ samples: 50, levelW: 100 }, { samples: 50, levelW: 105.1 })).toBe(true)
    expect(rises({ samples: 50, levelW: 100 }, { samples: 50, levelW: 104.9 })).toBe(false)
    expect(rises({ samples: 50, levelW: 105.1 }, { samples: 50, levelW: 100 })).toBe(false)
    expect(rises({ samples: 50, levelW: 100 })).toBe(false)
  })
})
