import type { Load } from '../../segment/load.js'
import { sayDuration, sayMoment } from '../../show/figures/sayDuration.js'
import { sayInterval, sayValue } from '../../show/figures/sayEstimate.js'
import { heldByNames } from '../../show/text/heldByWords.js'

/** The loads of a log with their stages: watts, what held them there, and why. */
export function LoadTable({
  name,
  loads,
  byHand,
}: {
  readonly name: string
  readonly loads: readonly Load[]
  /** Which of them begin or end where a person set it. */
  readonly byHand: readonly boolean[]
}) {
  const many = loads.length > 1 || byHand.includes(true)
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={`Table: loads and stages of ${name}`}>
      <table class="loads">
        <caption class="hidden">Loads and stages of {name}</caption>
        <thead>
          <tr>
            <th scope="col">Stage</th>
            <th scope="col">From</th>
            <th scope="col">For</th>
            <th scope="col" class="number">
              Mean power
            </th>
            <th scope="col" class="number">
              90 % interval
            </th>
            <th scope="col">Held by</th>
            <th scope="col">Why</th>
          </tr>
        </thead>
        {loads.map((load, index) => (
          <tbody key={load.startS}>
            {many && (
              <tr class="load-head">
                <th scope="rowgroup" colSpan={7}>
                  Load {index + 1}, {sayMoment(load.startS)} to {sayMoment(load.endS)}
                  <span class="faint"> · {runsOf(load)}</span>
                  {byHand[index] && <mark>set by you</mark>}
                </th>
              </tr>
            )}
            {load.stages.map((stage) => (
              <tr key={stage.startS}>
                <th scope="row">{stage.label}</th>
                <td>{sayMoment(stage.startS)}</td>
                <td>{sayDuration(stage.endS - stage.startS)}</td>
                <td class="number">{sayValue(stage.levelW, 'W')}</td>
                <td class="number faint">{sayInterval(stage.levelW)}</td>
                <td>
                  <span class={`held held-${stage.heldBy.label}`}>{heldByNames[stage.heldBy.label]}</span>
                </td>
                <td class="why">{stage.heldBy.evidence.join('; ')}</td>
              </tr>
            ))}
            <tr class="settles">
              <th scope="row">in the end</th>
              <td colSpan={2}>{settles(load)}</td>
              <td class="number">{sayValue(load.sustained.levelW, 'W')}</td>
              <td class="number faint">{sayInterval(load.sustained.levelW)}</td>
              <td colSpan={2} />
            </tr>
          </tbody>
        ))}
      </table>
    </div>
  )
}

function runsOf({ runs }: Load): string {
  return runs.length === 1 ? 'no pauses' : `${runs.length} runs`
}

function settles({ sustained, startS, endS }: Load): string {
  if (!sustained.reached) return `not settled after ${sayDuration(endS - startS)}`
  const { settleAfterS } = sustained
  return settleAfterS === null || settleAfterS.value < 1
    ? 'settled at once'
    : `settled after ${sayDuration(settleAfterS.value)}`
}
