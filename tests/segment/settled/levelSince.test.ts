import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { levelSince } from '../../../src/segment/settled/levelSince.js'
import { type Course, type RunOptions, stretchesOf } from '../makeRun.js'

const only = (courses: readonly Course[], more: Partial<RunOptions> = {}) =>
  stretchesOf({ parts: [courses], startS: 100, ...more })[0]!
/** From 50 W towards 130 W, by half in 42 s. */
const climb = (samples: number): Course => ({ samples, levelW: 130, amplitudeW: -80, tauS: 60 })

describe('a rise is level', () => {
  it('since its last piece, where that is flat for 10 s and 8 samples', () => {
    const since = (samples: number, everyS: number) =>
      levelSince(only([climb(60), { samples, levelW: 101 }], { everyS }))
    expect(since(11, 1)).toBe(60)
    expect(since(10, 1)).toBeNull()
    expect(since(8, 2)).toBe(60)
    expect(since(7, 2)).toBeNull()
    expect(since(20, 0.5)).toBeNull()
  })

  it('never, where one course describes it to its end, with noise and without', () => {
    expect(levelSince(only([climb(60)]))).toBeNull()
    for (let seed = 1; seed <= 40; seed++)
      expect(levelSince(noisy(only([climb(600)], { everyS: 0.1 }), 5, seed))).toBeNull()
  })

  /** Work that comes and goes ever less: its scatter hides the bend from one course over all of it. */
  const endsLevel = (levelS: number, seed: number, scatterW = 0.3) => {
    const stretch = noisy(only([climb(600)], { everyS: 0.1 }), scatterW, seed)
    const { powerW } = stretch.run.series
    const from = powerW.length - 10 * levelS
    const levelW = powerW[from]!
    for (let i = from; i < powerW.length; i++) powerW[i]! += levelW - (130 - 80 * Math.exp(-i / 600))
    return levelSince(stretch)
  }

  it('since 10 s before its end, where its own samples climb no more though its course would', () => {
    for (let seed = 1; seed <= 20; seed++) {
      expect(endsLevel(12, seed)).toBe(500)
      // Half of the last 10 s still climb.
      expect(endsLevel(4, seed)).toBeNull()
    }
  })

  it('not where its end scatters too widely to tell', () => {
    for (let seed = 1; seed <= 20; seed++) expect(endsLevel(12, seed, 30)).toBeNull()
  })
})

function noisy(stretch: ReturnType<typeof only>, scatterW: number, seed: number) {
  const random = seededRandom(seed)
  const { powerW } = stretch.run.series
  for (let i = 0; i < powerW.length; i++) powerW[i]! += scatterW * random.normal()
  return stretch
}
