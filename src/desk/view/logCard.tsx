import { useContext, useState } from 'preact/hooks'
import { groupDigits } from '../../show/text/digits.js'
import { sayDuration } from '../../show/text/sayDuration.js'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { type DeskLog, freeName, withLog } from '../state/desk.js'
import { TraceView } from '../trace/traceView.js'
import type { LogFile } from '../work/logFile.js'
import type { LogCardFacts } from '../work/readLogCard.js'
import { ColumnForm } from './columnForm.js'
import { FaultLine } from './faultLine.js'
import { LoadTable } from './loadTable.js'

/** One log on the desk: what it shows, its picture, and its loads in numbers. */
export function LogCard({ log }: { readonly log: DeskLog }) {
  const { fileOf, change, work } = useContext(DeskContext)
  const file = fileOf(log.id)
  const { asked, latest, again } = useAsked('stages', file === null ? null : { log: file })
  const title = `log-${log.id}`
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
      {asked?.state === 'waiting' && (
        <p class="reading">
          <progress value={asked.share} max={1} aria-label={`Reading ${log.name}`} /> Reading{' '}
          {Math.round(100 * asked.share)} %
          <button type="button" class="quiet" onClick={work.cancel}>
            Stop
          </button>
        </p>
      )}
      {asked?.state === 'failed' && <FaultLine fault={asked.fault} again={again} />}
      {asked?.state === 'done' && latest !== null && file !== null && (
        <>
          <TraceView key={JSON.stringify(log.options)} log={file} facts={latest} />
          {latest.loads.length > 0 && <LoadTable name={log.name} loads={latest.loads} />}
          <Begin log={log} file={file} loads={latest.loads.length} />
          <LogNotes facts={latest} />
        </>
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

/** Faults that a choice of columns mends. */
const COLUMN_FAULT = /column|power|time|device|machine/

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
  const begin = () =>
    work.ask(
      'draft',
      { log: file, load: loads > 1 ? Number(load) : null, machine: `Machine ${desk.sheets.length + 1}` },
      (asked) => {
        if (asked.state === 'failed') say(asked.fault.message)
        if (asked.state !== 'done') return
        change((now) => {
          const taken = now.sheets.map((sheet) => sheet.file)
          const sheetName = freeName(
            `${log.name.replace(/^.*[\\/]/, '').replace(/\.\w{1,5}$/, '')}.yaml`,
            taken,
          )
          return {
            ...now,
            sheets: [...now.sheets, { id: crypto.randomUUID(), file: sheetName, text: asked.answer }],
          }
        })
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
