/// <reference lib="dom" />
import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { answerStore } from '../state/answerStore.js'
import { type Desk, EMPTY_DESK, freeName, readAsSheetsSay } from '../state/desk.js'
import { parseDesk } from '../state/deskFile.js'
import { type DeskHistory, redo, step, undo } from '../state/deskHistory.js'
import type { DeskWork } from '../state/deskWork.js'
import type { DeskKeeper } from '../state/keepDesk.js'
import { type SortedFiles, sortFiles } from '../state/sortFiles.js'
import { deskFault } from '../work/deskFault.js'
import type { DeskFault } from '../work/deskJob.js'
import type { LogFile } from '../work/logFile.js'
import type { DeskReach } from './deskContext.js'
import type { DroppedFiles } from './filesOfDrop.js'

const START: DeskHistory<Desk> = { past: [], present: EMPTY_DESK, future: [] }

/** The desk with all that can be done to it as a whole. */
export function useDesk(work: DeskWork, keeper: DeskKeeper) {
  const [history, setHistory] = useState(START)
  const [words, say] = useState('')
  const [faults, setFaults] = useState<readonly DeskFault[]>([])
  const blobs = useRef(new Map<string, Blob>()).current
  const answers = useRef(answerStore()).current
  const desk = history.present
  const change = useCallback(
    (next: (desk: Desk) => Desk) => setHistory((now) => step(now, next(now.present))),
    [],
  )
  useKept({
    desk,
    blobs,
    keeper,
    begin: (kept) => setHistory((now) => (now === START ? { ...START, present: kept } : now)),
  })

  const reach: DeskReach = useMemo(() => {
    const files = desk.logs.flatMap(({ id, name, options }): LogFile[] => {
      const blob = blobs.get(id)
      return blob ? [{ id, name, blob, options }] : []
    })
    const fileOf = (id: string) => files.find((file) => file.id === id) ?? null
    return { desk, change, work, answers, blobs, say, files, fileOf }
  }, [desk])

  const take = useCallback(async ({ files, faults: refused }: DroppedFiles) => {
    const sorted = await sortFiles(files)
    const opened = sorted.desks.map(openDesk)
    const desks = opened.flatMap((each) => each.saved ?? [])
    const unopened = opened.flatMap((each) => each.fault ?? [])
    setFaults([...[...refused, ...sorted.faults].map(deskFault), ...unopened])
    const logs = sorted.logs.map(({ name, blob }) => ({ id: crypto.randomUUID(), name, blob }))
    for (const { id, blob } of logs) blobs.set(id, blob)
    for (const { blobs: more } of desks) for (const [id, blob] of more) blobs.set(id, blob)
    const names = [...logs.map(({ name }) => name), ...sorted.sheets.map(({ file }) => file)]
    const taken = names.length + desks.length
    if (taken === 0) return
    const more = desks.map((each) => each.desk)
    change((now) => laidOn(now, logs, sorted.sheets, more))
    say(taken === 1 ? `${names[0] ?? 'A desk'} lies on the desk.` : `${taken} files lie on the desk.`)
  }, [])
  const forget = async () => {
    await keeper.forget()
    blobs.clear()
    answers.clear()
    setHistory(START)
    setFaults([])
    say('Everything is forgotten.')
  }
  return {
    reach,
    words,
    faults,
    take,
    forget,
    undo: history.past.length > 0 ? () => setHistory(undo) : null,
    redo: history.future.length > 0 ? () => setHistory(redo) : null,
  }
}

/** A desk that was saved, or why it can't be opened. */
function openDesk(text: string): {
  readonly saved?: ReturnType<typeof parseDesk>
  readonly fault?: DeskFault
} {
  try {
    return { saved: parseDesk(text) }
  } catch (error) {
    return { fault: deskFault(error) }
  }
}

/** Begins with what was kept, and keeps every step. */
function useKept({
  desk,
  blobs,
  keeper,
  begin,
}: {
  readonly desk: Desk
  readonly blobs: Map<string, Blob>
  readonly keeper: DeskKeeper
  readonly begin: (desk: Desk) => void
}) {
  const [loaded, setLoaded] = useState(false)
  useEffect(() => {
    void keeper
      .load()
      .then((kept) => {
        if (kept === null) return
        for (const [id, blob] of kept.blobs) blobs.set(id, blob)
        begin(kept.desk)
      })
      .catch(() => {})
      .then(() => setLoaded(true))
  }, [])
  useEffect(() => {
    if (loaded) void keeper.save(desk, blobs).catch(() => {})
  }, [desk, loaded])
}

function laidOn(
  desk: Desk,
  logs: readonly { readonly id: string; readonly name: string }[],
  sheets: SortedFiles['sheets'],
  opened: readonly Desk[],
): Desk {
  const taken = desk.logs.map(({ name }) => name)
  const named = logs.map(({ id, name }) => {
    const free = freeName(name, taken)
    taken.push(free)
    return { id, name: free, options: {} }
  })
  const files = desk.sheets.map(({ file }) => file)
  const drafted = sheets.map(({ file, text }) => {
    const free = freeName(file, files)
    files.push(free)
    return { id: crypto.randomUUID(), file: free, text }
  })
  const known = new Set([...desk.logs, ...desk.sheets].map(({ id }) => id))
  const fresh = <T extends { readonly id: string }>(items: readonly T[]) =>
    items.filter(({ id }) => !known.has(id))
  return readAsSheetsSay({
    logs: [...desk.logs, ...named, ...opened.flatMap((each) => fresh(each.logs))],
    sheets: [...desk.sheets, ...drafted, ...opened.flatMap((each) => fresh(each.sheets))],
  })
}
