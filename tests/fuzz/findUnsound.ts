/** Fields that may be null, by the contract or because a test may lack them: a run noted by hand has no end. */
const NULLABLE =
  /(^|\.)(limitW|cappedPct|usePct|reasons|limitColumn|useColumn|reasonsColumn|device|limit|use|startInterval|decay|fromS|settleAfterS|timeColumn|temperatureColumn|clockColumn|startEpochS|startOfDayS|firstLine|atS|burstHoldS|shortTermW|shortTermHoldS|thermal|ceilingC|heatBudget|heatControl|durationS|energyWh|firstPct|steadyPct|burstForS|shortTermForS|demandW|workPerRun|ambientC|restS|topW|bend|temperatureC|clockHz|temperature|clock|time|after|mode|placedBy|forS|score|nextMode|bounds|criticism|criticism.*|probabilityFirstAhead|ratio)$|^runs\[\d+\]\.endS$|^asTested\.(first|steady)Score$/

/**
 * Where a result breaks what every result promises: a number that is not finite, an estimate out of order, a level that
 * is none, a null where a number belongs. NaN stands for a missing temperature, clock, limit or use in a trace, and only there.
 *
 * @returns one line for each place; empty for a sound result
 */
export function findUnsound(value: unknown, path = ''): readonly string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} is ${value}`]
  if (value === null || value === undefined)
    return NULLABLE.test(path.replace(/\[\d+\]$/, '')) || value === undefined ? [] : [`${path} is null`]
  if (typeof value !== 'object') return []
  if (ArrayBuffer.isView(value)) {
    const maybeMissing = /temperatureC|clockHz|limitW|usePct|temperatures\[\d+\]\.celsius/.test(path)
    const bad = Array.from(value as Float64Array).find(
      (item) => !Number.isFinite(item) && !(maybeMissing && Number.isNaN(item)),
    )
    return bad === undefined ? [] : [`${path} holds ${bad}`]
  }
  const inside = Object.entries(value).flatMap(([key, inner]) =>
    findUnsound(inner, Array.isArray(value) ? `${path}[${key}]` : path === '' ? key : `${path}.${key}`),
  )
  return [...disorder(value, path), ...inside]
}

function disorder(value: object, path: string): string[] {
  if (!('value' in value && 'low' in value && 'high' in value)) return []
  const { value: middle, low, high } = value as { value: number; low: number; high: number }
  return low <= middle && middle <= high ? [] : [`${path} is not ordered: ${low} <= ${middle} <= ${high}`]
}
