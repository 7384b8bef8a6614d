import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { Corrections } from '../reach/useCorrections.js'
import type { LoadEdge } from '../state/loadSpans.js'
import { sayEdge } from '../trace/sayEdge.js'
import { TextField } from './textField.js'

/** The loads of a log as a list that can be corrected: edges in numbers, joined, split, dropped, added. */
export function CorrectLoads({
  log,
  corrections,
  windowS,
}: {
  /** Its name. */
  readonly log: string
  readonly corrections: Corrections
  /** What the picture shows, where a further load goes. */
  readonly windowS: readonly [number, number]
}) {
  const { loads, isCorrected, add, reset } = corrections
  return (
    <fieldset class="correct">
      <legend>Loads of {log}</legend>
      <p class="faint small">
        Drag an edge in the picture, move it with the arrow keys, or type a time. What you set is marked as
        yours and goes into the sheet.
      </p>
      <ol class="plain">
        {loads.map((_, at) => (
          <LoadRow key={at} at={at} corrections={corrections} />
        ))}
      </ol>
      <div class="buttons tools">
        <button type="button" onClick={() => add(windowS)}>
          Add a load
        </button>
        <button type="button" onClick={reset} disabled={!isCorrected}>
          Back to what was found
        </button>
      </div>
    </fieldset>
  )
}

function LoadRow({ at, corrections }: { readonly at: number; readonly corrections: Corrections }) {
  const { loads, byHand, planned, join, drop, suggestSplit } = corrections
  const number = at + 1
  return (
    <li class="load-row">
      <strong>Load {number}</strong>
      <EdgeField at={at} edge="startS" corrections={corrections} />
      <EdgeField at={at} edge="endS" corrections={corrections} />
      <span class="buttons tools">
        {number < loads.length && (
          <button
            type="button"
            onClick={() => join(at)}
            aria-label={`Join load ${number} with load ${number + 1}`}
          >
            Join with {number + 1}
          </button>
        )}
        <button type="button" onClick={() => suggestSplit(at)} aria-label={`Split load ${number}`}>
          Split
        </button>
        {loads.length > 1 && (
          <button type="button" onClick={() => drop(at)} aria-label={`Drop load ${number}`}>
            Drop
          </button>
        )}
      </span>
      <span class="by">{byHand[at] ? <mark>set by you</mark> : 'as found'}</span>
      {planned?.at === at && <SplitRow corrections={corrections} />}
    </li>
  )
}

function EdgeField({
  at,
  edge,
  corrections,
}: {
  readonly at: number
  readonly edge: LoadEdge
  readonly corrections: Corrections
}) {
  const { loads, move } = corrections
  const name = edge === 'startS' ? 'from' : 'to'
  return (
    <TimeField
      label={name}
      says={`Load ${at + 1}, ${name}`}
      valueS={loads[at]![edge]}
      set={(toS) => move(at, edge, toS)}
    />
  )
}

/** Where a load is to be split: it can be moved in the picture too. */
function SplitRow({ corrections }: { readonly corrections: Corrections }) {
  const { planned, planSplit, split } = corrections
  return (
    <span class="split-row">
      <TimeField
        label="split at"
        says={`Split load ${planned!.at + 1} at`}
        valueS={planned!.atS}
        set={(atS) => planSplit({ at: planned!.at, atS })}
      />
      <button type="button" class="main" onClick={split}>
        Split here
      </button>
      <button type="button" onClick={() => planSplit(null)}>
        Leave it whole
      </button>
    </span>
  )
}

/** A moment of the log as text: seconds, MM:SS or H:MM:SS. */
function TimeField({
  label,
  says,
  valueS,
  set,
}: {
  readonly label: string
  readonly says: string
  readonly valueS: number
  readonly set: (toS: number) => void
}) {
  const read = (text: string) => {
    const toS = momentOf(text)
    if (toS !== null && Math.abs(toS - valueS) > SHOWN_TO_S) set(toS)
    return toS !== null
  }
  return <TextField inline label={label} says={says} value={sayEdge(valueS)} set={read} />
}

/** Times are shown to tenths: one that is typed as it is shown changes nothing. */
const SHOWN_TO_S = 0.06

function momentOf(text: string): number | null {
  try {
    return parseRunTime(text).elapsedS
  } catch {
    return null
  }
}
