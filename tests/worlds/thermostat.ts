import { parseLog } from '../../src/log/parseLog.js'
import { randomStream } from './randomStream.js'

/** A chassis that is held by a two-point controller of its temperature. */
export interface Thermostat {
  readonly highW: number
  readonly lowW: number
  readonly cutsInC: number
  readonly letsGoC: number
  /** Resistances in K/W and time constants in s from the power to the temperature. */
  readonly stages: readonly (readonly [rKPerW: number, tauS: number])[]
  readonly forS: number
  readonly everyS?: number
  /** Works by turns on its own, for so many seconds at each power, in place of following the temperature. */
  readonly turnsS?: readonly [highS: number, lowS: number]
}

const STEP_S = 0.05
const AMBIENT_C = 22
const IDLE_W = 5

/** A log of a machine that is held by a two-point controller of its temperature, and the mean power that it comes to in hours. */
export function thermostat(given: Thermostat, withTemperature = true) {
  const { highW, lowW, stages, forS, everyS = 1, turnsS } = given
  const random = randomStream(7)
  const risesK = stages.map(([rKPerW]) => rKPerW * IDLE_W)
  const rows = [withTemperature ? 'time_s,power_w,temperature_c' : 'time_s,power_w']
  let isHeld = false
  let powerW = IDLE_W
  let joules = 0
  let settledJ = 0
  const celsius = () => AMBIENT_C + risesK.reduce((sum, riseK) => sum + riseK, 0)
  const perSample = Math.round(everyS / STEP_S)
  const [restS, longS] = [40, 9000]
  for (let i = 1; i * STEP_S <= restS + longS; i++) {
    const loadS = i * STEP_S - restS
    if (turnsS) isHeld = loadS % (turnsS[0] + turnsS[1]) > turnsS[0]
    else if (celsius() >= given.cutsInC) isHeld = true
    else if (celsius() <= given.letsGoC) isHeld = false
    const targetW = loadS < 0 ? IDLE_W : isHeld ? lowW : highW
    powerW += ((targetW - powerW) * STEP_S) / 0.2
    stages.forEach(([rKPerW, tauS], k) => {
      risesK[k]! += ((rKPerW * powerW - risesK[k]!) * STEP_S) / tauS
    })
    joules += powerW * STEP_S
    if (loadS > longS - 1500) settledJ += powerW * STEP_S
    if (i % perSample !== 0) continue
    const watts = (joules / everyS) * (1 + 0.006 * random.normal())
    if (loadS <= forS) {
      const temperature = withTemperature ? `,${Math.round(celsius())}` : ''
      rows.push(`${(i * STEP_S).toFixed(2)},${watts.toFixed(2)}${temperature}`)
    }
    joules = 0
  }
  const cold = withTemperature ? ',50' : ''
  for (let k = 1; k <= 30 / everyS; k++) rows.push(`${restS + forS + k * everyS},${IDLE_W}${cold}`)
  return { trace: parseLog(rows.join('\n')).trace, settledW: settledJ / 1500 }
}

export const THIN_CHASSIS: Thermostat = {
  highW: 55,
  lowW: 30,
  cutsInC: 85,
  letsGoC: 75,
  stages: [
    [0.3, 3],
    [0.6, 60],
    [0.55, 300],
  ],
  forS: 1500,
}
