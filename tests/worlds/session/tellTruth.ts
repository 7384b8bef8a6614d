import type { Trace } from '../../../src/log/trace.js'
import type { HoldLabel } from '../../../src/segment/load.js'
import type { LoadKind } from './loads.js'
import type { MachineState, SessionMachine } from './machine.js'
import { type SessionCourse, STEP_S } from './makeSession.js'

/** What is true of a load, as the contract asks for it; seconds count from the log's first sample. */
export interface LoadTruth {
  readonly kind: LoadKind
  readonly startS: number
  readonly endS: number
  readonly runs: number
  /** Where power settles, as a range that no reader would quarrel over, W; null where it does not. */
  readonly settledW: readonly [number, number] | null
  /** Seen to settle, by the contract's rule; null near the rule's edges, where nobody could know. */
  readonly reached: boolean | null
  /** Causes that the log's columns allow. */
  readonly heldBy: readonly HoldLabel[]
  /** Lowest and highest power of the work, W. */
  readonly rangeW: readonly [number, number]
}

type Load = SessionCourse['loads'][number]

export function tellTruth(
  course: SessionCourse,
  trace: Trace,
  machine: SessionMachine,
): readonly LoadTruth[] {
  return course.loads.map((load) => {
    const inside = load.runs.flatMap(({ from, to }) => course.states.slice(from, to))
    const powers = inside.slice(20).map(({ powerW }) => powerW + machine.baseW)
    const startS = load.runs[0]!.from * STEP_S - firstSampleS(trace)
    return {
      kind: load.plan.kind,
      startS: Math.max(0, startS),
      endS: Math.min(trace.timesS.at(-1)!, load.runs.at(-1)!.to * STEP_S - firstSampleS(trace)),
      runs: load.runs.length,
      ...settlingOf(load, course, trace, machine),
      heldBy: causesOf(load, course, trace, machine),
      rangeW: [Math.min(...powers), Math.max(...powers)],
    }
  })
}

/** The first sample's own time: the log counts from it. */
function firstSampleS(trace: Trace): number {
  return trace.intervalS
}

function settlingOf(
  load: Load,
  course: SessionCourse,
  trace: Trace,
  machine: SessionMachine,
): Pick<LoadTruth, 'settledW' | 'reached'> {
  const last = load.runs.at(-1)!
  const states = course.states.slice(last.from, last.to)
  const endW = states.at(-1)!.powerW + machine.baseW
  const band = (low: number, high: number) => [low, high] as const
  const lengthS = states.length * STEP_S
  switch (load.plan.kind) {
    case 'short':
      return {
        settledW: null,
        reached: dropOf(states) === 0 ? false : states.at(-1)!.holder === 'heat' ? false : null,
      }
    case 'loop':
    case 'mode': {
      const dropS = dropOf(states)
      const flatS = lengthS - dropS - 5
      const several = load.plan.kind === 'mode' || machine.budgets.length > 1
      const ratio = several
        ? Math.min(flatS / 60, flatS / (0.5 * dropS))
        : Math.min(flatS / 120, flatS / dropS)
      const atFloor =
        states.at(-1)!.holder === 'budget' && endW - machine.baseW < 1.02 * machine.budgets.at(-1)!.limitW
      if (!atFloor) return { settledW: null, reached: flatS > 300 ? null : false }
      return { settledW: band(endW, endW), reached: grade(ratio) }
    }
    case 'rounds': {
      const ends = load.runs.map(({ to }) => course.states[to - 1]!)
      const alike = ends.slice(-3).every(({ powerW }) => Math.abs(powerW / ends.at(-1)!.powerW - 1) < 0.01)
      const held =
        ends.at(-1)!.holder === 'budget' && ends.at(-1)!.powerW < 1.02 * machine.budgets.at(-1)!.limitW
      const meanW = meanOf(states) + machine.baseW
      return {
        settledW: held ? band(endW, Math.max(endW, meanW)) : null,
        reached: held && alike ? true : null,
      }
    }
    case 'heat':
    case 'fan': {
      if (states.at(-1)!.holder !== 'heat') return { settledW: null, reached: lengthS > 300 ? null : false }
      const window = Math.max(90, lengthS / 4) / STEP_S
      const late = states.slice(-window).map(({ powerW }) => powerW)
      const spread = (Math.max(...late) - Math.min(...late)) / 2 / endW
      return {
        settledW: band(0.993 * endW, 1.007 * endW),
        reached: spread < 0.006 ? true : spread > 0.014 ? false : null,
      }
    }
    case 'flat': {
      const proven = trace.limitW != null || trace.reasons != null
      return { settledW: band(endW, endW), reached: proven ? true : lengthS > 400 ? true : null }
    }
    default: {
      const meanW = meanOf(states) + machine.baseW
      const slack = load.plan.kind === 'game' ? 0.03 : 0.004
      return {
        settledW: band((1 - slack) * meanW, (1 + slack) * meanW),
        reached: trace.usePct != null || trace.clockHz != null ? true : null,
      }
    }
  }
}

/** Seconds from the beginning to the last fall of the cap. */
function dropOf(states: readonly MachineState[]): number {
  for (let i = states.length - 1; i > 0; i--)
    if (states[i]!.holder !== states[i - 1]!.holder) return i * STEP_S
  return 0
}

function grade(ratio: number): boolean | null {
  return ratio > 1.15 ? true : ratio < 0.85 ? false : null
}

function meanOf(states: readonly MachineState[]): number {
  return states.reduce((sum, { powerW }) => sum + powerW, 0) / states.length
}

function causesOf(
  load: Load,
  course: SessionCourse,
  trace: Trace,
  machine: SessionMachine,
): readonly HoldLabel[] {
  const states = load.runs.flatMap(({ from, to }) => course.states.slice(from, to))
  const holder = states.at(-1)!.holder
  const dropped = states.some(
    (state) => state.holder !== holder && state.powerW > 1.03 * states.at(-1)!.powerW,
  )
  const tells = trace.reasons != null
  if (['game', 'encode', 'thread'].includes(load.plan.kind)) {
    const shown = course.loads.some(
      (other) => meanOf(course.states.slice(other.runs[0]!.from, other.runs[0]!.to)) > 1.6 * meanOf(states),
    )
    return trace.usePct != null || trace.clockHz != null || shown ? ['demand'] : ['demand', 'undetermined']
  }
  if (holder === 'heat')
    return tells || trace.temperatureC != null ? ['heat'] : ['heat', 'undetermined', 'power-limit']
  if (load.plan.kind === 'flat') {
    if (tells || trace.limitW != null) return ['power-limit']
    const faster = course.states.some(
      (state) => state.holder !== 'idle' && state.clockGHz > 1.1 * states.at(-1)!.clockGHz,
    )
    return trace.clockHz != null && faster
      ? ['power-limit']
      : ['undetermined', ...(trace.clockHz != null ? ['power-limit' as const] : [])]
  }
  if (holder === 'budget' && dropped) return ['power-limit']
  return machine.baseW >= 0 ? ['power-limit', 'undetermined'] : []
}
