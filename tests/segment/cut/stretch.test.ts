import { describe, expect, it } from 'vitest'
import { type Stretch, settledFrom } from '../../../src/segment/cut/stretch.js'
import { type Course, stretchesOf } from '../makeRun.js'

const flat: Course = { samples: 10, levelW: 100 }

/** The second part of a run that begins 100 s into its log: its edge at 109.4 s, its first sample at 110 s. */
function second(course: Course, softS = { edge: 0, part: 0 }): Stretch {
  const stretch = stretchesOf({ parts: [[flat], [course]], startS: 100, softS: [0, softS.part] })[1]!
  const startS = { value: 109.4, low: 109, high: 110, level: 0.9 }
  return { ...stretch, edge: { startS, softS: softS.edge, fromW: 100 } }
}

// After five time constants exp(-5) = 0.7 % of a step is left.
describe('where a stretch shows its course', () => {
  it('is its first sample when it begins sharply', () => {
    expect(settledFrom(second({ samples: 30, levelW: 80 }))).toBe(10)
  })

  it.each([
    ['the edge', { edge: 2, part: 0 }, 20],
    ['the part', { edge: 0, part: 2 }, 20],
    ['the slower of both', { edge: 2, part: 3 }, 25],
  ])('is five time constants after the edge: of %s', (_, softS, index) => {
    expect(settledFrom(second({ samples: 30, levelW: 80 }, softS))).toBe(index)
  })

  it('is five time constants of the approach that opens it, not of a relaxation', () => {
    expect(settledFrom(second({ samples: 40, levelW: 80, amplitudeW: 20, tauS: 4 }))).toBe(30)
    expect(settledFrom(second({ samples: 40, levelW: 80, amplitudeW: 20, tauS: 4.5 }))).toBe(10)
  })

  it('counts from the first sample where a run begins', () => {
    const [first] = stretchesOf({
      parts: [[{ samples: 30, levelW: 80, amplitudeW: 20, tauS: 2 }]],
      startS: 100,
    })
    expect(settledFrom(first!)).toBe(10)
  })

  it('leaves two samples', () => {
    expect(settledFrom(second({ samples: 8, levelW: 80 }, { edge: 4, part: 0 }))).toBe(16)
  })
})
