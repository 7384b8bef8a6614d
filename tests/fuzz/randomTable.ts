import { type Dialect, drawDialect } from '../worlds/dialect.js'
import type { LogTable } from '../worlds/logger.js'
import type { RandomStream } from '../worlds/randomStream.js'
import { writeDialect } from '../worlds/writeDialect.js'

/** A small made-up log, for changing: idle, a burst, one or two drops or a slow fall, perhaps pauses between runs. */
export function randomTable(random: RandomStream): LogTable {
  const count = random.integer(90, 260)
  const everyS = random.pick([0.5, 1, 1, 1, 2])
  const idle = random.integer(5, 25)
  const [burst, middle, last] = [random.uniform(80, 120), random.uniform(60, 80), random.uniform(30, 60)]
  const [first, second] = [idle + random.integer(8, 30), idle + random.integer(35, 80)]
  const fallS = random.chance(0.3) ? random.uniform(10, 60) : null
  const pauseEvery = random.chance(0.4) ? random.integer(25, 60) : null
  const noiseW = random.pick([0, 0.1, 0.5, 2])
  const watts = (row: number): number => {
    if (row < idle || (pauseEvery !== null && row % pauseEvery < 4)) return 5
    if (fallS !== null) return last + (burst - last) * Math.exp(((idle - row) * everyS) / fallS)
    return row < first ? burst : row < second ? middle : last
  }
  const timesS = Array.from({ length: count }, (_, row) => Number((row * everyS).toFixed(3)))
  const powerW = timesS.map((_, row) => Math.max(0.1, watts(row) + noiseW * random.normal()))
  let warmthC = 30
  const temperatureC = powerW.map((power) => {
    warmthC += 0.05 * (25 + 0.6 * power - warmthC)
    return Math.round(warmthC)
  })
  return { timesS, powerW, temperatureC, clockGHz: powerW.map((power) => 1 + power / 40) }
}

/** Such a log as a logger would write it. */
export function randomLog(random: RandomStream): { readonly bytes: Uint8Array; readonly dialect: Dialect } {
  const dialect = drawDialect(random)
  return { bytes: writeDialect(randomTable(random), dialect, random), dialect }
}
