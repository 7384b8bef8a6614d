/// <reference lib="dom" />
import { useContext, useRef, useState } from 'preact/hooks'
import { groupDigits } from '../../show/figures/digits.js'
import { sayDuration } from '../../show/figures/sayDuration.js'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { useCorrections } from '../reach/useCorrections.js'
import { type Desk, type DeskLog, freeName, withLog } from '../state/desk.js'
import { withTrialOptions } from '../state/trialOptions.js'
import { LoadEdges } from '../trace/loadEdges.js'
import { SvgPicture } from '../trace/svgPicture.js'
import { TraceView } from '../trace/traceView.js'
import type { TraceWindow } from '../trace/traceWindow.js'
import type { LogFile } from '../work/logFile.js'
import type { LogCardFacts } from '../work/readLogCard.js'
import { ColumnForm } from './columnForm.js'
import { CorrectLoads } from './correctLoads.js'
import { FaultLine } from './faultLine.js'
import { LoadTable } from './loadTable.js'

/** One log on the desk: what it shows, its picture, and its loads in numbers. */
export function LogCard({ log }: { readonly log: DeskLog }) {
  const { fileOf, change, work } = useContext(DeskContext)
  const file = fileOf(log.id)
  const { asked, latest, again } = useAsked('stages', file === null ? null : { log: file })
  const title = `log-${log.id}`
  const { loads: _given, ...others } = log.options
  const reading = JSON.stringify(others)
  // Corrected loads are looked at anew under the eyes of whoever corrects; another reading of the log is another picture.
  const read = useRef('')
  if (asked?.state === 'done') read.current = reading
  const isShown = asked?.state === 'done' || (asked?.state !== 'failed' && read.current === reading)
  return (
    <article class="card" aria-labelledby={title} data-log={log.name}>
      <header>
        <p class="kicker">
          <span class="file">{log.name}</span>
          <button
            type="button"
            class="quiet"
            onClick={() => change((desk) => withLog(desk, log.id, null))}
            aria-label={`Take off ${log.name}`}
          >
            Take off
          </button>
        </p>
        <h3 id={title}>{latest?.headline ?? log.name}</h3>
      </header>
      {file === null && (
        <p class="problem">The bytes of this log are not kept here any more: drop the file again.</p>
      )}
      {asked?.state === 'waiting' && !isShown && (
        <>
          <p class="reading">
            <progress value={asked.share} max={1} aria-label={`Reading ${log.name}`} />
            {asked.share < 1 ? `Reading ${Math.round(100 * asked.share)} %` : 'Finding the loads …'}
            <button type="button" class="quiet" onClick={work.cancel}>
              Stop
            </button>
          </p>
          {asked.picture !== null && (
            <div class="chart bare">
              <SvgPicture svg={asked.picture} />
            </div>
          )}
        </>
      )}
      {asked?.state === 'failed' && <FaultLine fault={asked.fault} again={again} />}
      {isShown && latest !== null && file !== null && (
        <LogShown key={reading} log={log} file={file} facts={latest} isBusy={asked?.state !== 'done'} />
      )}
      {file !== null && asked !== null && asked.state !== 'waiting' && (
        <ColumnForm
          log={log}
          file={file}
          open={asked.state === 'failed' && COLUMN_FAULT.test(asked.fault.code)}
        />
      )}
    </article>
  )
}

/** The picture of a log with its loads, in numbers too, and what can be corrected. */
function LogShown({
  log,
  file,
  facts,
  isBusy,
}: {
  readonly log: DeskLog
  readonly file: LogFile
  readonly facts: LogCardFacts
  readonly isBusy: boolean
}) {
  const corrections = useCorrections(log, facts)
  const [isOpen, setOpen] = useState(false)
  const [windowS, setWindow] = useState<TraceWindow>([facts.startS, facts.durationS])
  return (
    <div aria-busy={isBusy}>
      <TraceView
        log={file}
        facts={facts}
        over={isOpen ? (frame) => <LoadEdges corrections={corrections} frame={frame} /> : null}
        onWindow={setWindow}
      />
      <div class="buttons tools">
        <button type="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
          Correct the loads
        </button>
        {corrections.isCorrected && <mark>Loads set by you</mark>}
      </div>
      {isOpen && <CorrectLoads log={log.name} corrections={corrections} windowS={windowS} />}
      {facts.loads.length > 0 && (
        <LoadTable name={log.name} loads={facts.loads} byHand={corrections.byHand} />
      )}
      <Begin log={log} file={file} loads={facts.loads.length} />
      <LogNotes facts={facts} />
    </div>
  )
}

/** Faults that a choice of columns mends. */
const COLUMN_FAULT = /column|power|time|device|machine|header|formula/

/** Begins a test sheet: for the log, or for one of its loads. */
function Begin({
  log,
  file,
  loads,
}: {
  readonly log: DeskLog
  readonly file: LogFile
  readonly loads: number
}) {
  const { desk, change, work, say } = useContext(DeskContext)
  const [load, setLoad] = useState('1')
  if (loads === 0) return null
  // What was corrected while the sheet was being made goes into it too.
  const asReadNow = (now: Desk, text: string) => {
    const after = now.logs.find(({ id }) => id === log.id)?.options ?? log.options
    return withTrialOptions(text, log.name, { before: log.options, after })
  }
  const begin = () =>
    work.ask(
      'draft',
      { log: file, load: loads > 1 ? Number(load) : null, machine: `Machine ${desk.sheets.length + 1}` },
      (asked) => {
        if (asked.state === 'failed') say(asked.fault.message)
        if (asked.state !== 'done') return
        const id = crypto.randomUUID()
        change((now) => {
          const taken = now.sheets.map((sheet) => sheet.file)
          const stem = log.name.replace(/^.*[\\/]/, '').replace(/\.\w{1,5}$/, '')
          const text = asReadNow(now, asked.answer)
          return { ...now, sheets: [...now.sheets, { id, file: freeName(`${stem}.yaml`, taken), text }] }
        })
        // Whoever asked for it goes on there.
        requestAnimationFrame(() => document.getElementById(`sheet-${id}`)?.focus())
        say('A machine was added below.')
      },
    )
  return (
    <div class="buttons">
      {loads > 1 && (
        <label class="inline">
          <span>Load</span>
          <select value={load} onChange={(event) => setLoad(event.currentTarget.value)}>
            {Array.from({ length: loads }, (_, index) => (
              <option key={`${index + 1}`} value={`${index + 1}`}>
                {index + 1}
              </option>
            ))}
          </select>
        </label>
      )}
      <button type="button" class="main" onClick={begin}>
        Name the machine, enter scores
      </button>
    </div>
  )
}

/** How the log was read, and what to mind. */
function LogNotes({ facts }: { readonly facts: LogCardFacts }) {
  const { columns, skipped, repairs, warnings } = facts
  const read = [
    `${groupDigits(facts.samples, 0)} samples`,
    sayDuration(facts.durationS),
    `one every ${sayDuration(facts.intervalS)}`,
    `power from “${columns.power}”`,
    ...(columns.temperature === null ? [] : [`temperature from “${columns.temperature}”`]),
  ]
  return (
    <>
      <p class="faint small">{read.join(' · ')}</p>
      {warnings.map((words) => (
        <p class="caution small" key={words}>
          {words}
        </p>
      ))}
      {(skipped.count > 0 || repairs.length > 0) && (
        <details>
          <summary>What was passed over or mended ({skipped.count + repairs.length})</summary>
          <ul class="small">
            {repairs.map((words) => (
              <li key={words}>{words}</li>
            ))}
            {skipped.first.map(({ line, reason }) => (
              <li key={line}>
                line {line}: {reason}
              </li>
            ))}
            {skipped.count > skipped.first.length && (
              <li>and {skipped.count - skipped.first.length} lines more</li>
            )}
          </ul>
        </details>
      )}
    </>
  )
}
