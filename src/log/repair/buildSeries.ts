import type { Quantity, SeriesColumn } from '../columns/measuredColumn.js'
import { familyName } from '../columns/measuredColumn.js'
import { type NamedTemperature, REASON, type Trace } from '../trace.js'
import type { OrderedSamples } from './orderedSamples.js'
import { pickAt } from './pickAt.js'
import type { RepairList } from './repairList.js'

interface KeptSeries {
  readonly series: readonly SeriesColumn[]
  /** Places of the samples that a trace keeps. */
  readonly kept: Int32Array
}

/** What a trace holds besides time and power; impossible values are left out and reported. */
export function buildSeries(
  samples: OrderedSamples,
  { series, kept }: KeptSeries,
  repairs: RepairList,
): Pick<
  Trace,
  'temperatureC' | 'clockHz' | 'limitW' | 'usePct' | 'rate' | 'parts' | 'reasons' | 'temperatures'
> {
  const possible = (k: number) => within(samples, { place: k, kept, quantity: series[k]!.quantity }, repairs)
  const first = (wanted: Quantity) => series.findIndex(({ quantity }) => quantity === wanted)
  const valuesOf = (wanted: Quantity) => (first(wanted) < 0 ? null : possible(first(wanted)))
  const temperatures = series.flatMap((column, k): NamedTemperature[] => {
    const isOne = column.quantity === 'temperature' || column.quantity === 'sensor'
    const celsius = isOne ? possible(k) : null
    return celsius === null ? [] : [{ name: familyName(column), celsius }]
  })
  const chosen = series[first('temperature')]
  const flags = first('reasons') < 0 ? null : pickAt(samples.series[first('reasons')]!, kept)
  return {
    temperatureC: (chosen && temperatures.find(({ name }) => name === familyName(chosen))?.celsius) ?? null,
    clockHz: valuesOf('clock'),
    limitW: valuesOf('limit'),
    usePct: valuesOf('use'),
    ...partsOf(valuesOf),
    ...(first('rate') < 0 ? {} : { rate: valuesOf('rate') }),
    reasons:
      flags === null ? null : Uint8Array.from(flags, (value) => (Number.isNaN(value) ? REASON.other : value)),
    temperatures,
  }
}

/** Both parts, or none. */
function partsOf(valuesOf: (wanted: Quantity) => Float64Array | null): Pick<Trace, 'parts'> {
  const [processorW, graphicsW] = [valuesOf('processor'), valuesOf('graphics')]
  return processorW === null || graphicsW === null ? {} : { parts: { processorW, graphicsW } }
}

interface Bounds {
  readonly low: number
  readonly high: number
  readonly detail: string
}

const BOUNDS: { readonly [quantity in Exclude<Quantity, 'reasons'>]: Bounds } = {
  // A silicon sensor reads between these; 0xFF and the like lie outside.
  temperature: { low: -60, high: 200, detail: 'temperature outside -60 to 200 °C; left out' },
  sensor: { low: -60, high: 200, detail: 'temperature outside -60 to 200 °C; left out' },
  // A hundred times what any chip does.
  clock: { low: 0, high: 1e12, detail: 'clock below 0 or above 1 THz; left out' },
  // As for a power: no single machine draws more; 0 is no limit.
  limit: { low: 1e-3, high: 100_000, detail: 'power limit of zero or less, or above 100 kW; left out' },
  processor: { low: 0, high: 100_000, detail: 'power of the processor below zero or above 100 kW; left out' },
  graphics: { low: 0, high: 100_000, detail: 'power of the graphics below zero or above 100 kW; left out' },
  rate: { low: 0, high: Number.MAX_VALUE, detail: 'pace of the work below 0; left out' },
  // A mean over threads may round to a little more than all of them.
  use: { low: 0, high: 110, detail: 'use outside 0 to 100 %; left out' },
}

interface WantedSeries {
  readonly place: number
  readonly kept: Int32Array
  readonly quantity: Quantity
}

/** Values at the kept places, NaN for those outside the quantity's bounds, which are told; null when none is left. */
function within(
  { series, lines }: OrderedSamples,
  { place, kept, quantity }: WantedSeries,
  repairs: RepairList,
): Float64Array | null {
  if (quantity === 'reasons') return null
  const { low, high, detail } = BOUNDS[quantity]
  const picked = pickAt(series[place]!, kept)
  const bad: number[] = []
  let known = 0
  for (let i = 0; i < picked.length; i++) {
    const value = picked[i]!
    if (value < low || value > high) bad.push(i)
    else if (!Number.isNaN(value)) known++
  }
  repairs.addLines(
    `impossible-${quantity === 'sensor' ? 'temperature' : quantity}`,
    bad.map((i) => lines[kept[i]!]!),
    detail,
  )
  return known === 0 ? null : without(picked, bad)
}

/** Values with NaN at some places. */
function without(values: Float64Array, places: readonly number[]): Float64Array {
  if (places.length === 0) return values
  const rest = values.slice()
  for (const place of places) rest[place] = Number.NaN
  return rest
}
