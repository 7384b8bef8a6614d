import { describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { randomStream } from '../worlds/randomStream.js'

interface Thermostat {
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
function thermostat(given: Thermostat, withTemperature = true) {
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
  return { loads: findLoads(parseLog(rows.join('\n')).trace), settledW: settledJ / 1500 }
}

const THIN: Thermostat = {
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

describe('a chassis that lets power go and cuts in at two temperatures', () => {
  it.each([
    ['a slow swing', THIN, 0.5],
    ['a fast one', { ...THIN, letsGoC: 82, cutsInC: 86 }, 0.5],
    ['a deep one', { ...THIN, lowW: 15, highW: 60 }, 0.5],
    ['a shallow one', { ...THIN, lowW: 33 }, 0.5],
  ] as const)('sustains the mean of %s, and heat holds it', (_, machine, everyS) => {
    const { loads, settledW } = thermostat({ ...machine, everyS })
    expect(loads).toHaveLength(1)
    const [load] = loads
    const last = load!.stages.at(-1)!
    expect(load!.runs).toHaveLength(1)
    expect(load!.stages.length).toBeLessThanOrEqual(4)
    expect(last.cycle!.lowW).toBeCloseTo(machine.lowW, -0.5)
    expect(last.cycle!.highW).toBeCloseTo(machine.highW, -0.5)
    expect(last.heldBy.label).toBe('heat')
    expect(last.heldBy.evidence[1]).toMatch(
      /^it falls whenever the temperature comes to 8\d °C, for the first time after \d+ s, and returns at [78]\d °C$/,
    )
    const { low, high, value } = load!.sustained.levelW
    expect(low).toBeLessThan(settledW * 1.002)
    expect(high).toBeGreaterThan(settledW * 0.998)
    expect(Math.abs(value / settledW - 1)).toBeLessThan(0.04)
  })

  it('leaves the cause open without a temperature', () => {
    const last = thermostat(THIN, false).loads[0]!.stages.at(-1)!
    expect(last.cycle).toBeDefined()
    expect(last.heldBy.label).toBe('undetermined')
    expect(last.heldBy.evidence.join()).toMatch(/no temperature/)
  })

  it('is told once in its sentence', () => {
    const text = concludeStages(thermostat(THIN).loads[0]!)
    expect(text.match(/the mean of a swing between 3\d\.\d and 5\d\.\d\sW every 3\d\ss/g)).toHaveLength(1)
  })

  it('that swings faster than the log can follow is one load between its idle times', () => {
    const { loads, settledW } = thermostat({ ...THIN, cutsInC: 85, letsGoC: 83.5, everyS: 2 })
    expect(loads).toHaveLength(1)
    expect(loads[0]!.startS).toBeGreaterThan(30)
    expect(Math.abs(loads[0]!.stages.at(-1)!.levelW.value / settledW - 1)).toBeLessThan(0.15)
  })
})

it('a task that works by turns from its beginning is not held by heat, though its temperature swings', () => {
  const { loads } = thermostat({ ...THIN, cutsInC: 200, turnsS: [18, 15] })
  for (const { stages } of loads) for (const { heldBy } of stages) expect(heldBy.label).not.toBe('heat')
})
