import { describe, expect, it } from 'vitest'
import { draftStages, shownBefore } from '../../../src/segment/stages/draftStages.js'
import { type Course, draftsOf, makeRun, type RunOptions } from '../makeRun.js'

const noise = { scale: 0.1, autocorrelation: 0, gridW: undefined }
const level = (samples: number, levelW: number): readonly Course[] => [{ samples, levelW }]

/** Shapes and samples by run of the stages of a load, with pauses of 20 s between its runs. */
function drafted(...runs: readonly RunOptions['parts'][]) {
  let startS = 0
  const cut = runs.map((parts) => {
    const run = makeRun({ parts, startS })
    startS = run.series.timesS.at(-1)! + 20
    return run
  })
  const bounds = cut.map(({ series }) => ({ startS: series.timesS[0]! - 1, endS: series.timesS.at(-1)! }))
  return draftStages(cut, bounds, noise).map(({ shape, stretches }) => [
    shape,
    ...stretches.map(({ runIndex, part }) => `${runIndex}: ${part.from}-${part.to}`),
  ])
}

describe('a load without pauses', () => {
  it('has a stage for each of its parts, by how they run', () => {
    const fall = [{ samples: 100, levelW: 60, amplitudeW: 20, tauS: 30 }]
    const rise = [{ samples: 100, levelW: 80, amplitudeW: -20, tauS: 30 }]
    expect(drafted([level(30, 100), level(60, 80)])).toEqual([
      ['level', '0: 0-30'],
      ['level', '0: 30-90'],
    ])
    expect(drafted([level(30, 80), fall])[1]![0]).toBe('decay')
    expect(drafted([level(30, 60), rise])[1]![0]).toBe('rise')
  })

  it('leaves out a last step of less than 5 % and 5 s, which noise makes', () => {
    expect(drafted([level(60, 100), level(4, 97)])).toHaveLength(1)
    expect(drafted([level(60, 100), level(6, 97)])).toHaveLength(2)
    expect(drafted([level(60, 100), level(4, 94)])).toHaveLength(2)
    expect(drafted([level(60, 100), level(4, 104)])).toHaveLength(1)
    expect(drafted([level(5, 97)])).toHaveLength(1)
    // What a fall came to is a level, however short.
    const decays = [{ samples: 100, levelW: 60, amplitudeW: 20, tauS: 20 }]
    expect(drafted([decays, level(4, 62)])).toHaveLength(2)
  })
})

describe('a loop', () => {
  const burst = [level(15, 100), level(45, 80)]

  it('has one stage for what its runs come back to; their openings are none', () => {
    expect(drafted(burst, burst, burst)).toEqual([
      ['level', '0: 0-15'],
      ['level', '0: 15-60', '1: 15-60', '2: 15-60'],
    ])
  })

  it('of which no later run holds a level is one stage over all of its runs: what its first run did tells nothing of them', () => {
    const wave = (endW: number) => [level(8, 100), level(9, 60), level(8, endW)]
    const first = [level(8, 100), level(9, 60), level(14, 45)]
    const whole = [0, 1, 2].map((run) => [`${run}: 0-8`, `${run}: 8-17`, `${run}: 17-${run === 0 ? 31 : 25}`])
    expect(drafted(first, wave(52), wave(57))).toEqual([['level', ...whole.flat()]])
    // Two runs may well differ.
    expect(drafted(first, wave(52)).length).toBeGreaterThan(1)
  })

  it('has another stage where its runs come to another level', () => {
    expect(drafted([level(60, 80)], [level(60, 80)], [level(60, 76)], [level(60, 76)])).toEqual([
      ['level', '0: 0-60', '1: 0-60'],
      ['level', '2: 0-60', '3: 0-60'],
    ])
    // Up by less than 5 %, or down by less than 2.5 %, is drift.
    expect(drafted([level(60, 80)], [level(60, 83)])).toHaveLength(1)
    expect(drafted([level(60, 80)], [level(60, 78.2)])).toHaveLength(1)
    expect(drafted([level(60, 80)], [level(60, 77.8)])).toHaveLength(2)
  })

  it('leaves out a last run that is broken off in its opening', () => {
    expect(drafted([level(60, 80)], [level(60, 80)], [level(14, 100)])).toEqual([
      ['level', '0: 0-60', '1: 0-60'],
    ])
    expect(drafted([level(60, 80)], [level(60, 80)], [level(60, 60)])).toHaveLength(2)
  })

  it('leaves out what a later run shows for less than 12 s', () => {
    expect(drafted([level(60, 80)], [level(11, 60), level(49, 80)], [level(60, 80)])).toEqual([
      ['level', '0: 0-60', '1: 11-60', '2: 0-60'],
    ])
    expect(drafted([level(60, 80)], [level(14, 60), level(46, 80)], [level(60, 80)])).toHaveLength(3)
  })

  it('has the drop in the run in which it came, however short its rest', () => {
    expect(drafted([level(60, 100)], [level(52, 100), level(8, 80)], [level(60, 80)])).toEqual([
      ['level', '0: 0-60', '1: 0-52'],
      ['level', '1: 52-60', '2: 0-60'],
    ])
  })

  it('that heat holds is one relaxation from the run on that falls first', () => {
    const fall = (fromW: number) => [[{ samples: 60, levelW: 80, amplitudeW: fromW - 80, tauS: 30 }]]
    const stages = drafted([level(60, 100)], fall(100), fall(98), fall(98))
    expect(stages.at(-1)).toEqual(['decay', '1: 0-60', '2: 0-60', '3: 0-60'])
    expect(stages[0]).toEqual(['level', '0: 0-60'])
  })
})

describe('a loop with more than one level', () => {
  const fall = (samples: number): readonly Course[] => [{ samples, levelW: 80, amplitudeW: 20, tauS: 30 }]

  it('takes bends within its runs for noise where heat does not hold it', () => {
    const shapes = drafted([fall(60)], [level(60, 83)], [level(60, 83)], [level(60, 83)]).map(
      ([shape]) => shape,
    )
    expect(new Set(shapes)).toEqual(new Set(['level']))
  })

  it('has no stages for the bursts that its relaxing runs open with', () => {
    const run = [level(14, 110), fall(46)]
    expect(drafted(run, run, run, run)).toEqual([
      ['level', '0: 0-14'],
      ['decay', '0: 14-60', '1: 14-60', '2: 14-60', '3: 14-60'],
    ])
  })

  it('has a step on the way to its next level with that, and no step past it', () => {
    const withStep = (stepW: number) =>
      drafted([level(60, 100)], [level(52, 100), level(8, stepW)], [level(60, 80)], [level(60, 80)])
    expect(withStep(85)[1]).toEqual(['level', '1: 52-60', '2: 0-60', '3: 0-60'])
    expect(withStep(70)[1]).toEqual(['level', '2: 0-60', '3: 0-60'])
    expect(withStep(120)[1]).toEqual(['level', '2: 0-60', '3: 0-60'])
    expect(withStep(85)).toHaveLength(2)
  })

  it('leaves out a moment of its first run that comes back to where it was', () => {
    expect(drafted([level(40, 100), level(9, 85), level(40, 100)], [level(60, 100)])).toEqual([
      ['level', '0: 0-40', '0: 49-89', '1: 0-60'],
    ])
    expect(drafted([level(40, 100), level(9, 90), level(40, 80)], [level(60, 80)])).toHaveLength(3)
  })

  it('has what a later run opens with where nothing falls below it', () => {
    expect(drafted([level(60, 80)], [level(20, 100), level(40, 112)], [level(60, 112)])).toEqual([
      ['level', '0: 0-60'],
      ['level', '1: 0-20'],
      ['level', '1: 20-60', '2: 0-60'],
    ])
    expect(drafted([level(60, 80)], [level(20, 80), level(40, 100)])[0]).toEqual([
      'level',
      '0: 0-60',
      '1: 0-20',
    ])
  })

  it('drifts from run to run and stays one, by less than 5 % of the three before', () => {
    const runs = [80, 82, 84, 86, 88].map((watts) => [level(60, watts)])
    expect(drafted(...runs)).toHaveLength(1)
  })
})

describe('runs of a loop that follow each other', () => {
  const steady = (...levels: readonly number[]) =>
    drafted(...levels.map((watts) => [level(60, watts)])).length

  it('are one stage where they come down by less than 2.5 %, or up by less than 5 %', () => {
    expect(steady(100, 100, 100, 97.6)).toBe(1)
    expect(steady(100, 100, 100, 97.4)).toBe(2)
    expect(steady(100, 100, 100, 104.9, 104.9)).toBe(1)
    expect(steady(100, 100, 100, 105.1, 105.1)).toBe(2)
  })

  it('are held against the three before them, not against the whole stage', () => {
    // 4 % above the first three, and 4.3 % above the next three: more than 5 % above all six.
    expect(steady(100, 100, 100, 104, 104, 104, 108.5)).toBe(1)
    expect(steady(100, 104, 104, 104, 100, 100, 100)).toBe(2)
  })
})

it('edges that cross are put where their samples begin', () => {
  const run = makeRun({ parts: [level(30, 100), level(60, 80)] })
  // A run told to begin after its own edge.
  const [, second] = draftStages([run], [{ startS: 29.5, endS: 89 }], noise)
  const { startS, edge } = second!.stretches[0]!
  expect(startS).toBe(29)
  expect(edge!.startS.low).toBeLessThanOrEqual(29)
  expect(edge!.startS.high).toBeGreaterThanOrEqual(29)
})

describe('the most that a load was held at before', () => {
  const shown = (...powers: readonly number[]) =>
    shownBefore(
      draftsOf(
        powers.map(() => 'level'),
        { parts: powers.map((watts) => level(20, watts)) },
      ),
      powers.length - 1,
    )

  it('is the highest of what came before', () => {
    expect(shown(90, 100, 60, 80)).toBe(100)
    const fall = [{ samples: 60, levelW: 60, amplitudeW: 60, tauS: 10 }]
    expect(shownBefore(draftsOf(['decay', 'level'], { parts: [fall, level(20, 60)] }), 1)).toBe(120)
  })

  it('is nothing where that hardly exceeds what the stage came to', () => {
    expect(shown(84.1, 80)).toBe(84.1)
    expect(shown(83.9, 80)).toBe(Number.POSITIVE_INFINITY)
    expect(shown(80)).toBe(Number.POSITIVE_INFINITY)
  })
})
