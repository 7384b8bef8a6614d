import type { LoadRecord, RecordedPass } from '../../../src/fit/chassis/loadRecord.js'
import { predictPower } from '../../../src/fit/chassis/predictPower.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

/**
 * A record of a known machine, a sample a second from 10 s before the first pass until 5 s after the last, with noise of 0.2 W.
 *
 * @param passes - s, in order; the first begins at 0
 */
export function machineRecord(
  machine: LoopMachine,
  passes: readonly RecordedPass[],
  noiseW = 0.2,
): LoadRecord {
  const random = seededRandom(3)
  const toS = Float64Array.from({ length: passes.at(-1)!.endS + 15 }, (_, i) => i - 9)
  const fromS = toS.map((s) => s - 1)
  const blank: LoadRecord = {
    idleW: machine.idleW,
    idleSeen: true,
    passes,
    fromS,
    toS,
    powerW: new Float64Array(toS.length),
    temperatureC: null,
    pass: Int16Array.from(toS, (s, i) =>
      passes.findIndex(({ startS, endS }) => fromS[i]! >= startS && s <= endS),
    ),
    noiseW,
    autocorrelation: 0,
    intervalS: 1,
  }
  return { ...blank, powerW: predictPower(machine, blank).map((w) => w + noiseW * random.normal()) }
}

/** So many passes of equal length with equal pauses. */
export function equalPasses(count: number, workS: number, gapS: number): RecordedPass[] {
  return Array.from({ length: count }, (_, k) => {
    const startS = k * (workS + gapS)
    return { startS, endS: startS + workS }
  })
}
