/// <reference lib="dom" />
import type { ComponentChildren } from 'preact'
import { useEffect, useRef, useState } from 'preact/hooks'
import { sayMoment } from '../../show/figures/sayDuration.js'
import { useAsked } from '../reach/useAsked.js'
import { useWidth } from '../reach/useWidth.js'
import type { LogFile } from '../work/logFile.js'
import type { LogCardFacts } from '../work/readLogCard.js'
import type { TraceFrame } from './edgeHandle.js'
import { SvgPicture } from './svgPicture.js'
import { type TraceWindow, windowAround, zoomWindow } from './traceWindow.js'
import { zoomHands } from './zoomHands.js'

/** The trace of a log with its stages; wheel, drag, two fingers and keys look closer. */
export function TraceView({
  log,
  facts,
  over,
  onWindow,
}: {
  readonly log: LogFile
  readonly facts: LogCardFacts
  /** What lies over the picture. */
  readonly over: ((frame: TraceFrame) => ComponentChildren) | null
  /** Told what part of the log is shown. */
  readonly onWindow: (windowS: TraceWindow) => void
}) {
  const { durationS, loads } = facts
  const { element, widthPx, scale } = useWidth()
  const frame = useRef({ widthPx, scale })
  frame.current = { widthPx, scale }
  const [windowS, setWindow] = useState<TraceWindow | null>(null)
  const held = useRef<TraceWindow>([0, durationS])
  held.current = windowS ?? [0, durationS]
  const isWhole = held.current[0] <= 0 && held.current[1] >= durationS
  const ask = widthPx > 0 ? { log, widthPx, windowS: isWhole ? null : held.current } : null
  const { asked, latest } = useAsked('trace', ask)
  useEffect(() => onWindow(held.current), [windowS, durationS])
  const hands = useRef(
    zoomHands({
      get: () => held.current,
      set: (next) => {
        held.current = next
        setWindow(next)
      },
      endS: durationS,
      frame: () => frame.current,
    }),
  ).current
  useEffect(() => {
    // Only a listener that says so may keep the page from scrolling.
    const place = element.current
    place?.addEventListener('wheel', hands.onWheel, { passive: false })
    return () => place?.removeEventListener('wheel', hands.onWheel)
  }, [])
  const closer = (factor: number) =>
    setWindow(zoomWindow(held.current, durationS, factor, (held.current[0] + held.current[1]) / 2))
  const { onWheel: _wheel, ...others } = hands
  return (
    <div class="trace">
      <div
        class={`chart zoomable${isWhole ? '' : ' zoomed'}${over === null ? '' : ' correcting'}`}
        ref={element}
        tabIndex={0}
        role="group"
        aria-label={`Power over time of ${log.name}, ${sayMoment(held.current[0])} to ${sayMoment(held.current[1])}. Plus and minus zoom, arrow keys move, 0 shows all. The table below has the numbers.`}
        {...others}
        onPointerCancel={hands.onPointerUp}
      >
        {latest === null ? (
          <p class="faint drawing-soon">{asked?.state === 'failed' ? asked.fault.message : 'Drawing …'}</p>
        ) : (
          <SvgPicture svg={latest} />
        )}
        {latest !== null && over?.({ windowS: held.current, widthPx, scale })}
      </div>
      <div class="buttons tools">
        <button type="button" onClick={() => closer(2)} aria-label={`Closer, ${log.name}`}>
          + Closer
        </button>
        <button
          type="button"
          onClick={() => closer(0.5)}
          disabled={isWhole}
          aria-label={`Further, ${log.name}`}
        >
          − Further
        </button>
        <button type="button" onClick={() => setWindow(null)} disabled={isWhole}>
          Whole log
        </button>
        {loads.slice(0, MOST_LOADS).map((load, index) => (
          <button
            type="button"
            key={load.startS}
            onClick={() => setWindow(windowAround(load.startS, load.endS, durationS))}
          >
            {loads.length > 1 ? `Load ${index + 1}` : 'The load'}
          </button>
        ))}
        {loads.length > 0 && (
          <button type="button" onClick={() => setWindow(openingOf(facts))}>
            Its beginning
          </button>
        )}
      </div>
    </div>
  )
}

/** Buttons for more loads than these would fill the screen; the table leads to all. */
const MOST_LOADS = 6

/** The first load's short stages, which the whole log squeezes into a few pixels. */
function openingOf({ loads, durationS }: LogCardFacts): TraceWindow {
  const load = loads[0]!
  const lengthS = Math.min(
    load.endS - load.startS,
    Math.max(20, 1.35 * ((load.stages.at(-1)?.startS ?? 0) - load.startS)),
  )
  return windowAround(load.startS, load.startS + lengthS, durationS)
}
