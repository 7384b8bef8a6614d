import fc from 'fast-check'
import stringWidth from 'string-width'
import { describe, expect, it } from 'vitest'
import { judgeStage } from '../../../src/record/session/judgeStage.js'
import { powerTrail } from '../../../src/record/session/powerTrail.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { type LiveView, plotLive, sayPhase } from '../../../src/show/terminal/plotLive.js'

const style = { width: 80, colour: false }

/** A trail of one sample a second: idle, a burst, then what was held. */
function trailOf(seconds: number) {
  const trail = powerTrail()
  for (let s = 0; s <= seconds; s++) {
    const powerW = s === 0 ? undefined : (s <= 30 ? 5 : s <= 60 ? 90 : 45) + 0.3 * Math.sin(s * s)
    trail.add({ elapsedS: s, phase: 'run 1', powerW, temperatureC: 60, clockHz: 3e9 })
  }
  return trail
}

function viewOf(seconds: number, more: Partial<LiveView> = {}): LiveView {
  const trail = trailOf(seconds)
  const trace = trail.trace()
  const stage = trace === undefined ? undefined : judgeStage(trace)
  const now = { powerW: 45, temperatureC: 61.4, clockHz: 3.2e9 }
  return {
    path: 'a.csv',
    elapsedS: seconds,
    doing: 'running',
    trace,
    traceStartS: trail.traceStartS(),
    ...now,
    stage,
    unfinished: '',
    ...more,
  }
}

describe('the live screen', () => {
  it('shows the power so far, the present stage under its beginning, and what goes on', () => {
    const text = plotLive(viewOf(900), style).join('\n')
    expect(text).toContain('15:00   running   45.0 W   61 °C   3.2 GHz')
    expect(text.replace(/\s+/g, ' ')).toContain(
      'Stage 2, sustained: 45.0 W since 1:00; settled; a power limit holds it there, not heat.',
    )
    expect(text).toMatch(/▏2 sustained/)
    expect(text).toContain('Ctrl-C ends it and keeps everything.')
  })

  it('does not say what holds a power that has not settled', () => {
    expect(plotLive(viewOf(55), style).join(' ').replace(/\s+/g, ' ')).toMatch(
      /Stage 1, short-term: 90\.0 W since 0:30; not settled yet, heads to \d+ W \(\d+ to \d+\)\./,
    )
  })

  it('fits 80 columns and a terminal of 20 lines, however long the recording and its name are', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 3000 }), fc.integer({ min: 40, max: 80 }), (seconds, width) => {
        const lines = plotLive(
          viewOf(seconds, { unfinished: 'x'.repeat(width), doing: 'run 999 of 1000, for 59 min' }),
          {
            ...style,
            width,
          },
        )
        expect(lines.length).toBeLessThanOrEqual(19)
        for (const line of lines) expect(stringWidth(line)).toBeLessThanOrEqual(width)
      }),
      { numRuns: 25, seed: 6 },
    )
  }, 30_000)

  it('is there before the first power is', () => {
    expect(plotLive({ ...viewOf(0), powerW: undefined }, style).join('\n')).toContain('No load yet.')
  })

  it('names each phase', () => {
    const say = (phase: string, runs: number) =>
      sayPhase(phase, { runs, sinceS: 42 }).replaceAll('\u00a0', ' ')
    expect(say('before', 3)).toBe('idle, before the first run')
    expect(say('run 2', 3)).toBe('run 2 of 3, for 42 s')
    expect(say('run 1', 1)).toBe('running, for 42 s')
    expect(say('pause', 3)).toBe('pause, for 42 s')
    expect(say('recording', 1)).toBe('recording')
    expect(say('after', 3)).toBe('idle, after the last run')
  })
})

describe('the trail of a recording', () => {
  it('keeps mean power and time in memory that does not grow, and knows no power as none', () => {
    const trail = powerTrail(64)
    let energyJ = 0
    for (let s = 0; s <= 5000; s++) {
      const powerW = s === 0 || s === 2500 ? undefined : 40 + (s % 7)
      energyJ += powerW ?? 0
      trail.add({ elapsedS: s, phase: 'recording', powerW, temperatureC: undefined, clockHz: undefined })
    }
    const trace = trail.trace()!
    expect(trace.timesS.length).toBeLessThanOrEqual(64)
    expect(trace.timesS.every((t, i) => i === 0 || t > trace.timesS[i - 1]!)).toBe(true)
    expect(trace.temperatureC).toBeNull()
    expect(trail.figures()!.meanW).toBeCloseTo(energyJ / 4999, 9)
    expect(trail.figures()!.highestW).toBe(46)
    for (const powerW of trace.powerW) expect(powerW).toBeCloseTo(43, 0)
    expect(powerTrail().figures()).toBeUndefined()
  })
})

describe('the present stage', () => {
  it('is the last one that stages finds in the same samples', () => {
    const trace = trailOf(900).trace()!
    const load = findLoads(trace).at(-1)!
    const last = load.stages.at(-1)!
    expect(judgeStage(trace)).toMatchObject({
      number: load.stages.length,
      label: last.label,
      sinceS: last.startS,
      levelW: last.levelW.value,
      heldBy: last.heldBy.label,
      settled: true,
      headsToW: load.sustained.levelW,
      settlesAtS: null,
    })
    expect(judgeStage(trailOf(5).trace()!)).toBeUndefined()
  })
})
