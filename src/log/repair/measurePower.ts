import type { MeasuredColumn } from '../columns/measuredColumn.js'
import type { OrderedSamples } from './orderedSamples.js'
import { powerFromCounter } from './powerFromCounter.js'
import type { RepairList } from './repairList.js'

/** Power of each sample, W, with NaN for those to be set aside: not to be written to. */
export function measurePower(
  samples: OrderedSamples,
  column: MeasuredColumn,
  repairs: RepairList,
): Float64Array {
  const powerW =
    column.unit.dimension === 'energy'
      ? differenced(samples, column, repairs)
      : withUsualSign(samples, repairs)
  const placeholder = -column.unit.scale
  const empty: number[] = []
  const impossible: number[] = []
  for (let i = 0; i < powerW.length; i++) {
    if (powerW[i] === placeholder) empty.push(i)
    else if (powerW[i]! < 0 || powerW[i]! > HIGHEST_POWER_W) impossible.push(i)
  }
  repairs.addLines(
    'impossible-power',
    impossible.map((i) => samples.lines[i]!),
    'power below zero or above 100 kW; sample set aside',
  )
  repairs.addLines(
    'no-reading',
    empty.map((i) => samples.lines[i]!),
    'power of -1, which stands for no reading; sample set aside',
  )
  if (impossible.length + empty.length === 0) return powerW
  const possibleW = powerW.slice()
  for (const i of [...impossible, ...empty]) possibleW[i] = Number.NaN
  return possibleW
}

// No single machine draws as much: a bigger number is a sentinel or a slip of the logger.
const HIGHEST_POWER_W = 100_000

function differenced(samples: OrderedSamples, column: MeasuredColumn, repairs: RepairList): Float64Array {
  const linesAt = (indices: readonly number[]) => indices.map((i) => samples.lines[i]!)
  const counter = powerFromCounter(samples.timesS, samples.power, column.unit.scale)
  const range = counter.rangeJ === null ? '' : ` at ${Number(counter.rangeJ.toPrecision(6))} J`
  const start = 'a counter gives no power for the first sample; it repeats the second'
  const stale = 'energy counter had not been updated; power is the mean between updates'
  repairs.addLines('counter-start', [samples.lines[0]!], start)
  repairs.addLines('counter-wrap', linesAt(counter.wraps), `energy counter wrapped around${range}; followed`)
  repairs.addLines('counter-reset', linesAt(counter.resets), 'energy counter was reset; sample set aside')
  repairs.addLines('counter-stale', linesAt(counter.stale), stale)
  return counter.powerW
}

/** A discharge may be logged as negative power throughout. */
function withUsualSign(samples: OrderedSamples, repairs: RepairList): Float64Array {
  const powerW = samples.power
  if (!isCountedDown(powerW)) return powerW
  const detail = 'power is logged as negative (a discharge); its sign was reversed'
  repairs.addLines('sign-reversed', [samples.lines[0]!], detail)
  return powerW.map((value) => -value)
}

function isCountedDown(powerW: Float64Array): boolean {
  let [negative, positive] = [0, 0]
  for (let i = 0; i < powerW.length; i++) {
    if (powerW[i]! < 0) negative++
    if (powerW[i]! > 0) positive++
  }
  return negative > 9 * positive
}
