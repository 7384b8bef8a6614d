import type { Trace } from '../../../src/log/trace.js'
import { type RandomStream, randomStream } from '../randomStream.js'
import { LOAD_KINDS, type LoadKind, type LoadPlan, planLoad } from './loads.js'
import { drawSessionLogger, logSession, type SessionLogger } from './logSession.js'
import { drawMachine, type MachineState, type SessionMachine, startMachine } from './machine.js'
import { type LoadTruth, tellTruth } from './tellTruth.js'

/** An afternoon in one log: several loads of different kinds, idle as it is in between, and what is true of them. */
export interface Session {
  readonly seed: number
  readonly trace: Trace
  readonly loads: readonly LoadTruth[]
  readonly machine: SessionMachine
  readonly logger: SessionLogger
}

/** What happened, in steps of `STEP_S`. */
export interface SessionCourse {
  readonly states: readonly MachineState[]
  readonly setLimitW: readonly number[]
  readonly loads: readonly {
    readonly plan: LoadPlan
    readonly runs: readonly { readonly from: number; readonly to: number }[]
  }[]
}

export const STEP_S = 0.1

/** Makes a session from a seed; the same seed, the same session. */
export function makeSession(seed: number, options: { readonly kinds?: readonly LoadKind[] } = {}): Session {
  const random = randomStream(seed)
  const machine = drawMachine(random)
  const kinds = options.kinds ?? Array.from({ length: random.integer(2, 5) }, () => random.pick(LOAD_KINDS))
  const course = runSession(machine, kinds, random)
  const logger = drawSessionLogger(random, machine)
  const trace = logSession(course, logger, random)
  return { seed, trace, loads: tellTruth(course, trace, machine), machine, logger }
}

function runSession(
  machine: SessionMachine,
  kinds: readonly LoadKind[],
  random: RandomStream,
): SessionCourse {
  const running = startMachine(machine, STEP_S)
  const states: MachineState[] = []
  const setLimitW: number[] = []
  const loads: { plan: LoadPlan; runs: { from: number; to: number }[] }[] = []
  let limitW = machine.budgets.at(-1)!.limitW
  const add = (state: MachineState) => {
    states.push(state)
    setLimitW.push(limitW)
  }
  let awakeUntil = Number.NEGATIVE_INFINITY
  let restedS = 0
  const idleW = () => {
    const awakeW = machine.idleAwakeW + machine.idleCoolingW * Math.exp(-restedS / 30)
    const fallS = states.length * STEP_S - awakeUntil
    return fallS < 0
      ? awakeW
      : Math.max(machine.idleDeepW, awakeW - ((awakeW - machine.idleDeepW) * fallS) / 8)
  }
  const rest = (seconds: number) => {
    for (let i = 0; i < Math.round(seconds / STEP_S); i++) {
      restedS += STEP_S
      add(running.rest(idleW()))
    }
  }
  const blip = (shareOfPeak: number, seconds: number) => {
    const ask = {
      demandW: shareOfPeak * machine.peakW,
      budgets: false,
      heat: false,
      fan: false,
      limitW: 1e9,
      clockShare: 1,
      usePct: 20,
    }
    for (let i = 0; i < Math.round(seconds / STEP_S); i++) add(running.work(ask))
  }
  const gap = (seconds: number) => {
    let leftS = seconds
    while (leftS > 40 && random.chance(0.5)) {
      const beforeS = random.uniform(10, leftS - 20)
      rest(beforeS)
      const forS = random.uniform(1, 5)
      blip(random.uniform(0.1, 0.22), forS)
      leftS -= beforeS + forS
    }
    if (leftS > 15 && random.chance(0.15)) {
      rest(leftS - 8)
      blip(0.9, random.uniform(1, 2.5))
      leftS = 5
    }
    rest(leftS)
  }
  rest(random.uniform(15, 60))
  kinds.forEach((kind, k) => {
    if (k > 0) gap(random.chance(0.3) ? random.uniform(5, 30) : random.uniform(30, 300))
    const plan = planLoad(kind, machine, random)
    limitW = plan.setLimitW
    const runs: { from: number; to: number }[] = []
    const count = plan.rounds?.count ?? 1
    for (let run = 0; run < count; run++) {
      const from = states.length
      let doneS = 0
      let sinceS = 0
      while (plan.rounds === null ? sinceS < plan.forS : doneS < plan.rounds.workS) {
        const state = running.work(plan.ask(sinceS))
        add(state)
        sinceS += STEP_S
        doneS += STEP_S * Math.sqrt(state.powerW / machine.peakW)
      }
      runs.push({ from, to: states.length })
      restedS = 0
      awakeUntil = states.length * STEP_S + machine.awakeS
      if (run < count - 1) rest(plan.rounds!.pauseS)
    }
    loads.push({ plan, runs })
  })
  rest(random.chance(0.15) ? 0 : random.uniform(15, 60))
  return { states, setLimitW, loads }
}
