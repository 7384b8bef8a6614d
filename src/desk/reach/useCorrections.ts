import { useContext, useState } from 'preact/hooks'
import { type DeskLog, sheetsOfLoad, withOptions } from '../state/desk.js'
import {
  addLoad,
  dropLoad,
  givenTimes,
  joinNext,
  type LoadEdge,
  type LoadSpans,
  type LogExtent,
  moveEdge,
  placesAfter,
  setByHand,
  splitLoad,
  suggestedSplitS,
} from '../state/loadSpans.js'
import type { LogCardFacts } from '../work/readLogCard.js'
import { DeskContext } from './deskContext.js'

/** A split that is being placed. */
export interface PlannedSplit {
  readonly at: number
  readonly atS: number
}

/** The loads of a log and what a person can do to them; every deed is one step that can be undone, and goes into the sheets of the log. */
export interface Corrections {
  readonly loads: LoadSpans
  readonly extent: LogExtent
  /** Which of them are a person's. */
  readonly byHand: readonly boolean[]
  readonly isCorrected: boolean
  readonly move: (at: number, edge: LoadEdge, toS: number) => void
  readonly join: (at: number) => void
  readonly drop: (at: number) => void
  readonly add: (window: readonly [number, number]) => void
  readonly planned: PlannedSplit | null
  readonly planSplit: (planned: PlannedSplit | null) => void
  readonly suggestSplit: (at: number) => void
  readonly split: () => void
  /** Takes what was found again. */
  readonly reset: () => void
}

export function useCorrections(log: DeskLog, facts: LogCardFacts): Corrections {
  const { desk, change, say } = useContext(DeskContext)
  const [planned, planSplit] = useState<PlannedSplit | null>(null)
  const loads = loadsNow(log, facts)
  const extent = { startS: facts.startS, endS: facts.durationS, intervalS: facts.intervalS }
  const set = (next: LoadSpans, words: string) => {
    if (next === loads) return say('That would leave too few samples.')
    const { loads: _before, ...options } = log.options
    const places = placesAfter(loads, next)
    change((now) => withOptions(now, log.id, { ...options, loads: givenTimes(next) }, places))
    say(words)
  }
  const reset = () => {
    const { loads: _given, ...options } = log.options
    const places = facts.found === null ? undefined : placesAfter(loads, facts.found)
    change((now) => withOptions(now, log.id, options, places))
    planSplit(null)
    say('The loads are again as they were found.')
  }
  const drop = (at: number) => {
    const [user] = sheetsOfLoad(desk, log, at + 1)
    if (user) return say(`Load ${at + 1} is that of ${user.file}: take that sheet off first.`)
    set(dropLoad(loads, at), `Load ${at + 1} was dropped.`)
  }
  const split = () => {
    if (planned === null) return
    const runs = facts.loads[planned.at]?.runs ?? []
    set(
      splitLoad(loads, planned.at, planned.atS, { runs, log: extent }),
      `Load ${planned.at + 1} was split in two.`,
    )
    planSplit(null)
  }
  const suggestSplit = (at: number) => {
    const load = facts.loads[at]
    if (load) planSplit({ at, atS: suggestedSplitS(load) })
  }
  return {
    loads,
    extent,
    byHand: facts.found === null ? loads.map(() => false) : setByHand(loads, facts.found, extent),
    isCorrected: log.options.loads !== undefined,
    move: (at, edge, toS) =>
      set(
        moveEdge(loads, at, edge, toS, extent),
        `The ${edge === 'startS' ? 'start' : 'end'} of load ${at + 1} was moved.`,
      ),
    join: (at) => set(joinNext(loads, at), `Loads ${at + 1} and ${at + 2} were joined.`),
    drop,
    add: (window) => set(addLoad(loads, window, extent), 'A load was added.'),
    planned: planned !== null && planned.at < loads.length ? planned : null,
    planSplit,
    suggestSplit,
    split,
    reset,
  }
}

/** What a person set counts at once, before the worker has looked at it. */
function loadsNow({ options }: DeskLog, facts: LogCardFacts): LoadSpans {
  const given = options.loads?.map(({ from, to }) => ({ startS: from.elapsedS, endS: to.elapsedS }))
  const known = given?.flatMap(({ startS, endS }) =>
    startS === null || endS === null ? [] : [{ startS, endS }],
  )
  if (known !== undefined && known.length === given?.length) return known
  return facts.loads.map(({ startS, endS }) => ({ startS, endS }))
}
