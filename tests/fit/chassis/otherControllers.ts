import type { RandomStream } from '../../worlds/randomStream.js'

/** Controllers that hold power down without a running average of one time constant. */
export const OTHER_CONTROLLERS = ['timer', 'store', 'two-constants'] as const

export type OtherController = (typeof OTHER_CONTROLLERS)[number]

/** A looped load under such a controller: what the log shows, and what is true of a load from idle. */
export interface OtherLoop {
  readonly log: string
  readonly burstW: number
  readonly holdS: number
  readonly sustainedW: number
}

/**
 * Twelve runs of fixed work with pauses, in steps of 20 ms, logged as means over a second.
 *
 * - `timer`: the burst lasts `holdS` after a rest; after a pause of p seconds, the share p / (p + 20 s) of it
 * - `store`: joules above the sustained power that fill again at what a pause leaves below it
 * - `two-constants`: a running average that falls several times faster or slower than it rises
 */
export function otherLoop(random: RandomStream, controller: OtherController): OtherLoop {
  const idleW = random.uniform(2, 6)
  const sustainedW = random.uniform(15, 60)
  const burstW = sustainedW * random.uniform(1.25, 1.9)
  const holdS = random.logUniform(8, 50)
  const tauS = holdS / Math.log((burstW - idleW) / (burstW - sustainedW))
  const recoveryS = tauS * (random.chance(0.5) ? random.uniform(0.15, 0.6) : random.uniform(1.6, 4))
  const pauseS = random.uniform(3, 25)
  const easeS = random.uniform(0.2, 0.9)
  const work = random.uniform(1.5, 4) * holdS * Math.sqrt(sustainedW)
  const storeJ = holdS * (burstW - sustainedW)

  let powerW = idleW
  let averageW = idleW
  let leftJ = storeJ
  let leftS = holdS
  const step = (targetW: number) => {
    powerW += ((targetW - powerW) * STEP_S) / (targetW < powerW && targetW > idleW ? easeS : 0.05)
    const constantS = controller === 'two-constants' && powerW < averageW ? recoveryS : tauS
    averageW += ((powerW - averageW) * STEP_S) / constantS
    leftJ = Math.min(storeJ, leftJ + (sustainedW - powerW) * STEP_S)
    log.push(powerW)
  }
  const log: number[] = []
  const rest = (seconds: number) => {
    for (let s = 0; s < seconds; s += STEP_S) step(idleW)
  }
  let holds = false
  const held = () => {
    if (controller === 'timer') return leftS <= 0
    if (controller === 'store') {
      if (leftJ <= 0) holds = true
      if (leftJ > 0.02 * storeJ) holds = false
      return holds
    }
    if (averageW >= sustainedW) holds = true
    if (averageW < 0.97 * sustainedW) holds = false
    return holds
  }
  rest(40)
  for (let run = 0; run < RUNS; run++) {
    if (run > 0) {
      rest(pauseS)
      leftS = (holdS * pauseS) / (pauseS + 20)
    }
    for (let done = 0; done < work; done += Math.sqrt(powerW) * STEP_S) {
      step(held() ? sustainedW : burstW)
      leftS -= STEP_S
    }
  }
  rest(20)
  return { log: logOf(log, random), burstW, holdS, sustainedW }
}

const STEP_S = 0.02
const RUNS = 12
const NOISE = 0.006

function logOf(powers: readonly number[], random: RandomStream): string {
  const perSample = Math.round(1 / STEP_S)
  const rows = ['time_s,power_w']
  for (let i = 0; i + perSample <= powers.length; i += perSample) {
    const meanW = powers.slice(i, i + perSample).reduce((a, b) => a + b, 0) / perSample
    rows.push(`${rows.length},${(meanW * (1 + NOISE * random.normal())).toFixed(2)}`)
  }
  return rows.join('\n')
}
