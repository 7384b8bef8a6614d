/// <reference lib="dom" />
import { useEffect, useRef, useState } from 'preact/hooks'
import { Y_LABELS_PX } from '../../show/charts/chartSpec.js'
import { tracePlotPx } from '../../show/charts/trace/chartTrace.js'
import { sayEdge } from './sayEdge.js'
import type { TraceWindow } from './traceWindow.js'

/** Where a trace stands on the screen: the part of the log that it shows, and the width that it was drawn with, px. */
export interface TraceFrame {
  readonly windowS: TraceWindow
  readonly widthPx: number
  /** How far the picture is stretched. */
  readonly scale: number
}

/**
 * An edge of a load that is moved by drag or by keys: arrows by a sample, with Shift or by page keys by ten. It is set when the hand lets go,
 * or the keys rest; Escape puts it back.
 */
export function EdgeHandle({
  label,
  tag,
  atS,
  range,
  stepS,
  frame,
  side,
  set,
}: {
  readonly label: string
  /** A few letters that stand beside the line. */
  readonly tag: string
  readonly atS: number
  readonly range: readonly [number, number]
  /** Time from one sample to the next. */
  readonly stepS: number
  readonly frame: TraceFrame
  /** Which end of a load it is, on whose side the hand takes hold of it; `split` of neither. */
  readonly side: 'opens' | 'closes' | 'split'
  readonly set: (toS: number) => void
}) {
  const [movedS, setMoved] = useState<number | null>(null)
  const rest = useRef<ReturnType<typeof setTimeout>>(undefined)
  const isHeld = useRef(false)
  const now = useRef<number | null>(null)
  useEffect(() => () => clearTimeout(rest.current), [])
  const move = (toS: number | null) => {
    now.current = toS === null ? null : Math.max(range[0], Math.min(range[1], toS))
    setMoved(now.current)
  }
  const finish = () => {
    clearTimeout(rest.current)
    const toS = now.current
    move(null)
    if (toS !== null && Math.abs(toS - atS) > 1e-6) set(toS)
  }
  const shownS = movedS ?? atS
  const perSecond = (frame.scale * tracePlotPx(frame.widthPx)) / (frame.windowS[1] - frame.windowS[0])
  const leftPx = frame.scale * Y_LABELS_PX + (shownS - frame.windowS[0]) * perSecond
  const isSeen = shownS >= frame.windowS[0] && shownS <= frame.windowS[1]
  const keyDown = (event: KeyboardEvent) => {
    const step = STEPS[event.key]
    if (event.ctrlKey || event.metaKey || event.altKey) return
    // The picture below has keys of its own.
    event.stopPropagation()
    if (event.key === 'Escape') move(null)
    if (event.key === 'Enter') finish()
    if (step === undefined) return
    event.preventDefault()
    move((now.current ?? atS) + step * (event.shiftKey ? FAR : 1) * stepS)
    clearTimeout(rest.current)
    rest.current = setTimeout(finish, REST_MS)
  }
  return (
    <div
      class={`edge ${side}`}
      role="slider"
      tabIndex={0}
      hidden={!isSeen}
      aria-label={label}
      aria-orientation="horizontal"
      aria-valuemin={round(range[0])}
      aria-valuemax={round(range[1])}
      aria-valuenow={round(shownS)}
      aria-valuetext={sayEdge(shownS)}
      style={{ left: `${leftPx}px` }}
      onKeyDown={keyDown}
      onBlur={() => !isHeld.current && finish()}
      onPointerDown={(event) => {
        event.stopPropagation()
        isHeld.current = true
        event.currentTarget.setPointerCapture(event.pointerId)
      }}
      onPointerMove={(event) => {
        event.stopPropagation()
        if (!isHeld.current) return
        const frameLeft = event.currentTarget.parentElement?.getBoundingClientRect().left ?? 0
        move(frame.windowS[0] + (event.clientX - frameLeft - frame.scale * Y_LABELS_PX) / perSecond)
      }}
      onPointerUp={(event) => {
        event.stopPropagation()
        isHeld.current = false
        finish()
      }}
      onPointerCancel={() => {
        isHeld.current = false
        move(null)
      }}
    >
      <span class="edge-tag">{movedS === null ? tag : sayEdge(movedS)}</span>
    </div>
  )
}

/** Samples that Shift and the page keys move by. */
const FAR = 10
/** Samples that each key moves by. */
const STEPS: { readonly [key: string]: number } = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
  PageDown: -FAR,
  PageUp: FAR,
}
/** Keys that rest for so long are done. */
const REST_MS = 600

function round(seconds: number): number {
  return Number(seconds.toFixed(3))
}
