import { describe, expect, it } from 'vitest'
import { REASON, type Trace } from '../../../src/log/trace.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { explainHold } from '../../../src/segment/stages/explainHold.js'
import type { LogContext } from '../../../src/segment/stages/holdEvidence.js'
import { type Course, draftsOf, type RunOptions, stretchesOf } from '../makeRun.js'
import { traceOf } from '../makeSteps.js'

const log: LogContext = { highestClockHz: null, heldW: 0, namesLimit: false }
const level = (samples: number, levelW: number): readonly Course[] => [{ samples, levelW }]

interface Case extends Partial<Omit<Trace, 'timesS' | 'powerW' | 'temperatureC'>> {
  /** Temperature at a time, °C. */
  readonly celsius?: (timeS: number) => number
  readonly powerAt?: (timeS: number) => number
  readonly index?: number
  readonly log?: Partial<LogContext>
}

/** What held one stage, the last unless told, of a load without pauses. */
function held(shapes: readonly DraftStage['shape'][], options: RunOptions, more: Case = {}) {
  const drafts = draftsOf(shapes, options)
  const { timesS, powerW } = drafts[0]!.stretches[0]!.run.series
  const { celsius, powerAt, index = drafts.length - 1, log: context, ...columns } = more
  const power = powerAt ? timesS.map(powerAt) : powerW
  const trace = { ...traceOf(timesS, power, celsius ? timesS.map(celsius) : null), ...columns }
  return explainHold(trace, drafts, index, { ...log, ...context })
}

const column = (value: number) => new Float64Array(400).fill(value)
const flags = (value: number) => new Uint8Array(400).fill(value)

describe('power that nothing took away', () => {
  const drift = (toW: number, toC: number, samples = 301) =>
    held(
      ['level'],
      { parts: [level(samples, 100)] },
      {
        powerAt: (s) => (s <= samples / 2 ? 100 : toW),
        celsius: (s) => (s <= samples / 2 ? 50 : toC),
      },
    )

  it('is what the task asks for where it rises with temperature, by half a per cent and 5 K', () => {
    expect(drift(100.6, 56)).toEqual({
      label: 'demand',
      evidence: [
        'power never drops during the load',
        'power rises by 0.6 % while the chip warms by 6 K: no limit clamps it',
      ],
    })
    expect(drift(100.4, 56).label).toBe('undetermined')
    expect(drift(100.6, 54.9).label).toBe('undetermined')
    expect(drift(100.6, 55).label).toBe('demand')
  })

  it('is open where it rises only as work begins, whatever the temperature does', () => {
    const opens = (samples: number, powerAt: (timeS: number) => number) =>
      held(
        ['level'],
        { parts: [level(samples, 100)] },
        { powerAt, celsius: (s) => 85 - 40 * Math.exp(-s / 20) },
      )
    const approach = (tauS: number) => (s: number) => 100 - 15 * Math.exp(-s / tauS)
    expect(opens(121, approach(2)).label).toBe('undetermined')
    expect(opens(31, approach(1)).label).toBe('undetermined')
    // The chip warms by as much, and power goes on rising with it.
    expect(opens(121, approach(20)).label).toBe('demand')
  })

  it('is open where too few samples tell', () => {
    // A tenth of 37 s has fewer than 5 samples, that of 61 s more.
    expect(drift(102, 60, 38).label).toBe('undetermined')
    expect(drift(102, 60, 62).label).toBe('demand')
    expect(held(['level'], { parts: [level(301, 100)] })).toEqual({
      label: 'undetermined',
      evidence: [
        'nothing has taken power away: it may be what the task asks for, or a limit from the start; a column with the set power limit, the reason of the limit, the clock would show which',
      ],
    })
  })

  it('is open where the temperature is missing at its beginning or its end', () => {
    const missing = (fromS: number, toS: number) =>
      held(
        ['level'],
        { parts: [level(301, 100)] },
        {
          powerAt: (s) => (s <= 150 ? 100 : 102),
          celsius: (s) => (s >= fromS && s <= toS ? Number.NaN : s <= 150 ? 50 : 60),
        },
      ).label
    expect(missing(100, 150)).toBe('demand')
    expect(missing(0, 100)).toBe('undetermined')
    expect(missing(200, 300)).toBe('undetermined')
  })

  it('is open in a loop, whose pauses let the chip cool', () => {
    const run = { parts: [level(150, 100)] }
    const stretches = [...stretchesOf(run), ...stretchesOf({ ...run, startS: 150, runIndex: 1 })]
    const timesS = Float64Array.from({ length: 300 }, (_, i) => i)
    const trace = traceOf(
      timesS,
      timesS.map((s) => (s < 150 ? 100 : 102)),
      timesS.map((s) => (s < 150 ? 50 : 60)),
    )
    expect(explainHold(trace, [{ shape: 'level', stretches }], 0, log).label).toBe('undetermined')
  })

  it('is open where it stepped up, though its first level drifted', () => {
    const drifts = {
      celsius: (s: number) => (s <= 50 ? 50 : 60),
      powerAt: (s: number) => (s <= 50 ? 90 : s < 100 ? 91 : 100),
    }
    expect(held(['level', 'level'], { parts: [level(100, 90), level(200, 100)] }, drifts).label).toBe(
      'undetermined',
    )
  })

  it('is open where it stepped up', () => {
    const celsius = (s: number) => (s <= 150 ? 50 : 60)
    expect(held(['level', 'level'], { parts: [level(100, 90), level(200, 100)] }, { celsius }).label).toBe(
      'undetermined',
    )
  })
})

describe('power that dropped in one step', () => {
  const parts = (toW: number) => [level(100, 100), level(200, toW)]

  it('met a set limit', () => {
    expect(held(['level', 'level'], { parts: parts(80) })).toEqual({
      label: 'power-limit',
      evidence: [
        'power drops by 20 % from one sample to the next',
        'the log has no temperature; heat gives way gradually, not in one step',
        'no column tells what the machine could have done: a task that asks for less from here on looks the same',
      ],
    })
    expect(held(['level', 'level'], { parts: parts(80), softS: [0, 1.2] }).evidence[0]).toBe(
      'power drops by 20 % within 4 s',
    )
    expect(held(['level', 'level'], { parts: parts(80), softS: [0, 0.2] }).evidence[0]).toContain(
      'within 1 s',
    )
  })

  it('or the task asks for less, where power alone tells and it drops by less than 10 %', () => {
    expect(held(['level', 'level'], { parts: parts(91) }).label).toBe('undetermined')
    expect(held(['level', 'level'], { parts: parts(90) }).label).toBe('power-limit')
    for (const columns of [
      { usePct: column(100) },
      { limitW: column(200) },
      { reasons: flags(REASON.other) },
      { clockHz: column(Number.NaN) },
    ])
      expect(held(['level', 'level'], { parts: parts(91) }, columns).label).toBe('power-limit')
  })

  it('is told with the temperature on both sides of it', () => {
    const told = (celsius: (timeS: number) => number) =>
      held(['level', 'level'], { parts: parts(80) }, { celsius })
    expect(told(() => 70)).toEqual({
      label: 'power-limit',
      evidence: [
        'power drops by 20 % from one sample to the next',
        'temperature is 70 °C at the drop and does not jump there',
      ],
    })
    const falls = 'temperature is 70 °C at the drop and falls to 60 °C after it'
    // At the drop: the 2 s before 100 s. After it: from 5 s on for 40 s.
    expect(told((s) => (s <= 100 ? 70 : s <= 105 ? 65 : s <= 140 ? 60 : 40)).evidence[1]).toBe(falls)
    expect(told((s) => (s <= 98 ? 90 : s <= 100 ? 70 : 60)).evidence[1]).toBe(falls)
    expect(told((s) => (s <= 100 ? 70 : 69.6)).evidence[1]).toContain('does not jump')
    expect(told((s) => (s <= 100 ? 70 : 69.4)).evidence[1]).toContain('falls to 69 °C')
    expect(told((s) => (s <= 100 ? 70 : Number.NaN)).evidence).toHaveLength(1)
    expect(told((s) => (s <= 100 ? Number.NaN : 70)).evidence).toHaveLength(1)
    // Of a log with a sample each 5 s two samples are before the drop, and the warmer one counts.
    const celsius = (s: number) => (s <= 490 ? 90 : s === 495 ? 75 : s === 500 ? 70 : 60)
    expect(held(['level', 'level'], { parts: parts(80), everyS: 5 }, { celsius }).evidence[1]).toBe(
      'temperature is 75 °C at the drop and falls to 60 °C after it',
    )
  })
})

it('power that drops and comes back twice may be the task', () => {
  const parts = [100, 80, 100, 80, 100].map((watts) => level(60, watts))
  const shapes = parts.map(() => 'level' as const)
  const { label, evidence } = held(shapes, { parts })
  expect(label).toBe('undetermined')
  expect(evidence[0]).toContain('power drops and comes back: a set limit')
  expect(evidence[0]).toContain('a column with the set power limit')
})

it('power that drops to what it was before it rose may be a limit or the task', () => {
  const parts = [80, 100, 80].map((watts) => level(60, watts))
  expect(held(['level', 'level', 'level'], { parts })).toEqual({
    label: 'undetermined',
    evidence: [
      'power drops by 20 % to what it was before it rose: a limit, or a task that asks for as much as at first; a column with the set power limit, the reason of the limit, the clock would show which',
    ],
  })
})

it('power that drops and comes back may be the task, or is a limit where a later level stays below', () => {
  const dip = (toW: number) =>
    held(
      ['level', 'level', 'level'],
      { parts: [100, 75, toW].map((watts) => level(60, watts)) },
      { index: 1 },
    )
  expect(dip(99).label).toBe('undetermined')
  expect(dip(99).evidence[0]).toContain('power drops and comes back')
  expect(dip(90).label).toBe('power-limit')
})

describe('power that gave way gradually', () => {
  const parts = [level(100, 100), [{ samples: 201, levelW: 80, amplitudeW: 20, tauS: 40 }]]
  const gradual = (more: Case = {}) => held(['level', 'decay'], { parts }, more)
  const gives = 'power gives way gradually, by 20 % in all, instead of dropping in one step'

  it('met heat where temperature stays within 8 K of its highest', () => {
    expect(gradual({ celsius: () => 90 })).toEqual({
      label: 'heat',
      evidence: [gives, 'temperature stays at 90 °C, its highest being 90 °C'],
    })
    expect(gradual({ celsius: (s) => (s < 150 ? 90 : 82) }).label).toBe('heat')
  })

  it('met a limit that eases in where temperature falls further', () => {
    expect(gradual({ celsius: (s) => (s < 150 ? 90 : 81.9) })).toEqual({
      label: 'power-limit',
      evidence: [gives, 'temperature is 82 °C, 8 K below its highest'],
    })
  })

  it('looks at the last two minutes, at the quarter that is warmest', () => {
    expect(gradual({ celsius: (s) => (s <= 180 ? 100 : s > 260 ? 99 : 91) }).label).toBe('heat')
    expect(gradual({ celsius: (s) => (s <= 180 ? 100 : s > 280 ? 99 : 91) }).label).toBe('power-limit')
  })

  it('can’t be told where temperature swings from sample to sample, as with work in bursts', () => {
    const { label, evidence } = gradual({ celsius: (s) => (s % 2 < 1 ? 90 : 85) })
    expect(label).toBe('undetermined')
    expect(evidence[1]).toContain('temperature changes by 5 K from one sample to the next')
    expect(gradual({ celsius: (s) => (s % 2 < 1 ? 90 : 87) }).label).toBe('heat')
  })

  it('can’t be told where temperature moves by more than 8 K meanwhile, as with work in waves', () => {
    const waves = (rangeK: number) => (s: number) => 90 - rangeK * Math.sin((Math.PI * s) / 40) ** 2
    const { label, evidence } = gradual({ celsius: waves(12) })
    expect(label).toBe('undetermined')
    expect(evidence[1]).toMatch(/^temperature moves by 1[0-2] K meanwhile/)
    expect(gradual({ celsius: waves(7) }).label).toBe('heat')
  })

  it('can’t be told from five temperatures, and can from six', () => {
    const few = (count: number) => (s: number) => (s >= 290 && s < 290 + count ? 90 : Number.NaN)
    expect(gradual({ celsius: few(6) }).label).toBe('heat')
    const { label, evidence } = gradual({ celsius: few(5) })
    expect(label).toBe('undetermined')
    expect(evidence[1]).toContain('only 5 samples show it')
  })

  it('can’t be told where most of a fall by a few per cent comes back, as a deep one may when a fan speeds up', () => {
    const then = (fallW: number, backW: number) =>
      held(
        ['decay', 'level'],
        {
          parts: [
            [{ samples: 201, levelW: 100 - fallW, amplitudeW: fallW, tauS: 20 }],
            level(100, 100 - fallW + backW),
          ],
        },
        { celsius: () => 90, index: 1 },
      ).label
    expect(then(8, 6)).toBe('undetermined')
    expect(then(8, 2)).toBe('heat')
    expect(then(20, 14)).toBe('heat')
  })

  it('can’t be told where it is shallow and the load ends within its first minute, by a clock that is held down neither', () => {
    const sag = (fallW: number, samples: number, more: Case = {}) =>
      held(
        ['decay'],
        { parts: [[{ samples, levelW: 100 - fallW, amplitudeW: fallW, tauS: 8 }]] },
        { celsius: () => 62, ...more },
      )
    const clock = { clockHz: column(2e9), log: { highestClockHz: 4e9 } }
    const { label, evidence } = sag(8, 40)
    expect(label).toBe('undetermined')
    expect(evidence[1]).toContain('within the first minute')
    expect(sag(8, 40, clock).label).toBe('undetermined')
    expect(sag(8, 40, { ...clock, reasons: flags(REASON.powerLimit) }).label).toBe('power-limit')
    expect(sag(8, 61).label).toBe('heat')
    expect(sag(14, 40).label).toBe('heat')
  })

  it('can’t be told where the temperature is missing at its end', () => {
    expect(gradual({ celsius: (s) => (s <= 180 ? 90 : Number.NaN) }).label).toBe('undetermined')
  })

  it('can’t be told without a temperature', () => {
    expect(gradual()).toEqual({
      label: 'undetermined',
      evidence: [gives, 'that is how heat holds power, but the log has no temperature column to show it'],
    })
  })
})

describe('columns and course together', () => {
  const drop = { parts: [level(100, 100), level(200, 80)] }
  const fall = { parts: [level(100, 100), [{ samples: 201, levelW: 80, amplitudeW: 20, tauS: 40 }]] }
  const hot = { celsius: () => 90 }

  it('that agree are both told', () => {
    const { label, evidence } = held(['level', 'level'], drop, { limitW: column(80) })
    expect(label).toBe('power-limit')
    expect(evidence[0]).toBe('power sticks to the logged limit of 80.0 W')
    expect(evidence[1]).toContain('power drops by 20 %')
  })

  it('that differ: the columns speak', () => {
    const { label, evidence } = held(['level', 'level'], drop, { reasons: flags(REASON.heat) })
    expect([label, evidence]).toEqual(['heat', ["the log's reason is heat in 100 % of the samples"]])
  })

  it('a clock that is held down goes with heat, unless the log names its reasons', () => {
    const clock = { clockHz: column(2e9), log: { highestClockHz: 4e9 } }
    expect(held(['level', 'decay'], fall, { ...hot, ...clock }).label).toBe('heat')
    expect(held(['level', 'decay'], fall, { ...hot, ...clock, reasons: flags(REASON.other) }).label).toBe(
      'power-limit',
    )
  })

  it('reasons that name none go with heat, unless another column speaks for the task', () => {
    const silent = { reasons: flags(0), log: { namesLimit: true } }
    expect(held(['level', 'decay'], fall, { ...hot, ...silent }).label).toBe('heat')
    expect(held(['level', 'decay'], fall, { ...hot, ...silent, usePct: column(50) }).label).toBe('demand')
    expect(held(['level', 'level'], drop, { ...hot, ...silent }).label).toBe('demand')
  })

  it('a first level that was taken away is not the task for its clock or its power, only for a reason', () => {
    const burst = { index: 0, clockHz: column(4e9), log: { highestClockHz: 4e9 } }
    expect(held(['level', 'level'], drop, burst).label).toBe('undetermined')
    expect(held(['level', 'level'], drop, { index: 0, reasons: flags(REASON.demand) }).label).toBe('demand')
    expect(held(['level', 'level'], drop, { ...burst, index: 1 }).label).toBe('demand')
    expect(held(['level'], { parts: [level(300, 100)] }, burst).label).toBe('demand')
    const later = { parts: [level(100, 100), level(100, 80), level(100, 90)] }
    expect(held(['level', 'level', 'level'], later, { ...burst, index: 1 }).label).toBe('demand')
    expect(held(['level', 'level'], drop, { ...burst, clockHz: column(2e9) }).label).toBe('power-limit')
  })

  it('use that was as low before a drop does not explain it, unless the clock stays at its highest', () => {
    const toldOf = (before: number, then: number, columns: Case = {}, toW = 70) =>
      held(
        ['level', 'level'],
        { parts: [level(60, 100), level(200, toW)] },
        { ...columns, usePct: Float64Array.from({ length: 260 }, (_, s) => (s < 60 ? before : then)) },
      )
    expect(toldOf(81, 81).label).toBe('undetermined')
    expect(toldOf(81, 81).evidence.join()).toContain('use was as low before the drop')
    expect(toldOf(81, 77).label).toBe('demand')
    expect(toldOf(81, 79).label).toBe('undetermined')
    expect(toldOf(50, 50).label).toBe('undetermined')
    expect(toldOf(49, 49).label).toBe('demand')
    // A drop of less than a tenth is a task's own, and what keeps the clock is no limit.
    expect(toldOf(81, 81, {}, 92).label).toBe('demand')
    const top = { clockHz: column(4e9), log: { highestClockHz: 4e9 } }
    expect(toldOf(81, 81, top).label).toBe('demand')
  })

  it('use below full is the task, also ahead of the first drop, where a clock at its highest leaves it open', () => {
    const first = (columns: Case) =>
      held(['level', 'level'], { parts: [level(60, 100), level(200, 70)] }, { ...columns, index: 0 }).label
    expect(first({ usePct: column(50) })).toBe('demand')
    expect(first({ usePct: column(100) })).toBe('undetermined')
    expect(first({ clockHz: column(4e9), log: { highestClockHz: 4e9 } })).toBe('undetermined')
  })

  it('use below full is the task, also where heat is seen', () => {
    expect(held(['level', 'decay'], fall, { ...hot, usePct: column(50) }).label).toBe('demand')
  })
})

describe('the runs of a loop', () => {
  const fall: Course = { samples: 60, levelW: 100, amplitudeW: 30, tauS: 10 }

  interface Loop {
    readonly parts?: RunOptions['parts']
    readonly celsius?: (sinceS: number) => number
    /** What follows the falling runs, in a run of its own. */
    readonly later?: Course
  }

  /** What held the last stage of three runs a minute long, with pauses of 20 s at 10 W and 30 °C. */
  function loop({ parts = [[fall]], celsius = () => 95, later }: Loop) {
    const runs = [...[0, 1, 2].map(() => parts), ...(later ? [[[later]]] : [])]
    const stretches = runs.map((cut, k) => stretchesOf({ parts: cut, startS: 30 + 80 * k, runIndex: k }))
    const timesS = Float64Array.from({ length: 30 + 80 * runs.length }, (_, i) => i)
    const powerW = new Float64Array(timesS.length).fill(10)
    const temperatureC = new Float64Array(timesS.length).fill(30)
    for (const [first] of stretches) {
      const { series } = first!.run
      series.timesS.forEach((s, i) => {
        powerW[s] = series.powerW[i]!
        temperatureC[s] = celsius(i)
      })
    }
    const falling: DraftStage = { shape: 'decay', stretches: stretches.slice(0, 3).map((cut) => cut.at(-1)!) }
    const drafts = later ? [falling, { shape: 'level' as const, stretches: stretches[3]! }] : [falling]
    return explainHold(traceOf(timesS, powerW, temperatureC), drafts, drafts.length - 1, log)
  }

  it('that open higher and give way from their beginning are held by heat', () => {
    const { label, evidence } = loop({})
    expect(label).toBe('heat')
    // Half to nine tenths: 16 or 17 s, so that three time constants are 30 or 32 s.
    expect(evidence[0]).toMatch(
      /^every run opens higher and gives way from its beginning, over 3[0-2] s, without/,
    )
    expect(evidence[1]).toBe('temperature stays at 95 °C meanwhile')
  })

  it('tell by how much the temperature comes down', () => {
    const { evidence } = loop({ celsius: (sinceS) => (sinceS < 20 ? 95 : 93) })
    expect(evidence[1]).toContain('temperature comes down by 2 K to 93 °C meanwhile')
  })

  it('tell nothing of it where they step from level to level first', () => {
    const level = (samples: number, levelW: number): readonly Course[] => [{ samples, levelW }]
    const tail = (samples: number): readonly Course[] => [{ ...fall, samples }]
    const isByRuns = (parts: RunOptions['parts']) => loop({ parts }).evidence[0]!.startsWith('every run')
    expect(isByRuns([level(4, 131), level(4, 130), tail(52)])).toBe(false)
    // Of less than 3 s each: edges, no levels.
    expect(isByRuns([level(3, 131), level(3, 130), tail(54)])).toBe(true)
    expect(isByRuns([level(4, 130), tail(56)])).toBe(true)
  })

  it('still hold a later level that only rose since', () => {
    const { label, evidence } = loop({ later: { samples: 60, levelW: 112 } })
    expect(label).toBe('heat')
    expect(evidence[0]).toContain('every run opens higher')
  })
})

describe('power that falls bit by bit to the end of its load', () => {
  const falls = (more: Case = {}) =>
    held(
      ['decay'],
      { parts: [[{ samples: 200, levelW: -100, amplitudeW: 200, tauS: 500 }]] },
      { powerAt: (s) => 100 - 0.3 * s, celsius: () => 90, ...more },
    )

  it('is open, at a steady temperature and at a clock that is held down, too', () => {
    expect(falls().label).toBe('undetermined')
    expect(falls().evidence.join()).toMatch(/falls bit by bit to the load's end/)
    const clocked = falls({ clockHz: column(1.5e9), log: { highestClockHz: 2e9 } })
    expect(clocked.label).toBe('undetermined')
    expect(clocked.evidence.join()).toMatch(/the clock is 1\.50 GHz/)
  })

  it('is what a reason says', () => {
    expect(falls({ reasons: flags(REASON.heat) }).label).toBe('heat')
    expect(falls({ reasons: flags(REASON.powerLimit) }).label).toBe('power-limit')
  })

  it('is heat where it falls less and less', () => {
    expect(falls({ powerAt: (s) => 60 + 40 * Math.exp(-s / 60) }).label).toBe('heat')
  })
})
