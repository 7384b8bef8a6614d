/// <reference lib="dom" />
import type { Projection } from '../../../predict/projection/projection.js'
import { sayPower } from '../../figures/sayEstimate.js'

/** Power at round times, for those who can't see the chart. */
export function traceRows(
  projected: Projection['trace'],
  tested: Projection['trace'],
): readonly HTMLElement[] {
  const end = Math.max(projected.timesS.at(-1) ?? 0, tested.timesS.at(-1) ?? 0)
  const times = [0, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800].filter((time) => time <= end)
  return times.map((time) => {
    const row = document.createElement('tr')
    const cells = [`${time} s`, ...[projected, tested].map((trace) => sayPower(powerAt(trace, time)))]
    row.append(
      ...cells.map((text) => {
        const cell = document.createElement('td')
        cell.className = 'number'
        cell.textContent = text
        return cell
      }),
    )
    return row
  })
}

function powerAt(trace: Projection['trace'], timeS: number): number {
  const after = trace.timesS.findIndex((time) => time > timeS)
  return trace.powerW[after === -1 ? trace.powerW.length - 1 : after] ?? 0
}
