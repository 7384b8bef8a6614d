/// <reference lib="dom" />
import { useCallback, useMemo, useRef, useState } from 'preact/hooks'
import { type Desk, EMPTY_DESK, freeName } from '../state/desk.js'
import { type DeskHistory, redo, step, undo } from '../state/deskHistory.js'
import type { Asked, DeskWork } from '../state/deskWork.js'
import { DeskContext, type DeskReach } from './deskContext.js'
import { DeskTop } from './deskTop.js'
import { DropZone } from './dropZone.js'
import { LogCard } from './logCard.js'

/** The whole desk. */
export function DeskView({ work }: { readonly work: DeskWork }) {
  const [history, setHistory] = useState<DeskHistory<Desk>>({ past: [], present: EMPTY_DESK, future: [] })
  const [words, say] = useState('')
  const blobs = useRef(new Map<string, Blob>()).current
  const answers = useRef(new Map<string, Asked<unknown>>()).current
  const desk = history.present
  const change = useCallback(
    (next: (desk: Desk) => Desk) => setHistory((now) => step(now, next(now.present))),
    [],
  )
  const reach: DeskReach = useMemo(
    () => ({
      desk,
      change,
      work,
      answers,
      say,
      fileOf: (id) => {
        const log = desk.logs.find((each) => each.id === id)
        const blob = blobs.get(id)
        return log && blob ? { id, name: log.name, blob, options: log.options } : null
      },
    }),
    [desk],
  )
  const take = useCallback((files: readonly File[]) => {
    if (files.length === 0) return
    const ids = files.map(() => crypto.randomUUID())
    files.forEach((file, index) => {
      blobs.set(ids[index]!, file)
    })
    change((now) => {
      const logs = [...now.logs]
      files.forEach((file, index) => {
        const name = freeName(
          file.name,
          logs.map((log) => log.name),
        )
        logs.push({ id: ids[index]!, name, options: {} })
      })
      return { ...now, logs }
    })
    say(files.length === 1 ? `${files[0]!.name} lies on the desk.` : `${files.length} files lie on the desk.`)
  }, [])
  const isEmpty = desk.logs.length === 0 && desk.sheets.length === 0
  return (
    <DeskContext.Provider value={reach}>
      <DeskTop
        undo={history.past.length > 0 ? () => setHistory(undo) : null}
        redo={history.future.length > 0 ? () => setHistory(redo) : null}
      />
      <main id="main" tabIndex={-1}>
        <DropZone onFiles={take} large={isEmpty} />
        <p class="hidden" aria-live="polite">
          {words}
        </p>
        {desk.logs.length > 0 && (
          <section aria-labelledby="logs-title">
            <h2 id="logs-title">Logs</h2>
            {desk.logs.map((log) => (
              <LogCard key={log.id} log={log} />
            ))}
          </section>
        )}
      </main>
    </DeskContext.Provider>
  )
}
