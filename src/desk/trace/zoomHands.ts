/// <reference lib="dom" />

import { Y_LABELS_PX } from '../../show/charts/chartSpec.js'
import { tracePlotPx } from '../../show/charts/trace/chartTrace.js'
import { moveWindow, type TraceWindow, zoomWindow } from './traceWindow.js'

/** Moves and zooms a trace by wheel, drag, two fingers and keys. */
export interface ZoomHands {
  readonly onKeyDown: (event: KeyboardEvent) => void
  readonly onPointerDown: (event: PointerEvent) => void
  readonly onPointerMove: (event: PointerEvent) => void
  readonly onPointerUp: (event: PointerEvent) => void
  readonly onDblClick: () => void
  readonly onWheel: (event: WheelEvent) => void
}

/** Where the hands take the window from, and put it to. */
export interface ZoomGrip {
  readonly get: () => TraceWindow
  readonly set: (window: TraceWindow) => void
  readonly endS: number
  /** The width that the picture was drawn with, px, and how far it is stretched on the screen. */
  readonly frame: () => { readonly widthPx: number; readonly scale: number }
}

const STEP = 1.5

export function zoomHands({ get, set, endS, frame }: ZoomGrip): ZoomHands {
  const fingers = new Map<number, number>()
  const perPixel = () => (get()[1] - get()[0]) / tracePlotPx(frame().widthPx)
  const xIn = (event: MouseEvent) => xOnScreen(event) / frame().scale
  const momentAt = (x: number) => get()[0] + (x - Y_LABELS_PX) * perPixel()
  const middle = () => (get()[0] + get()[1]) / 2
  const zoom = (factor: number, atS = middle()) => set(zoomWindow(get(), endS, factor, atS))
  const move = (share: number) => set(moveWindow(get(), endS, share * (get()[1] - get()[0])))
  const keys: { readonly [key: string]: () => void } = {
    '+': () => zoom(STEP),
    '=': () => zoom(STEP),
    '-': () => zoom(1 / STEP),
    ArrowLeft: () => move(-0.2),
    ArrowRight: () => move(0.2),
    Home: () => move(-1e6),
    End: () => move(1e6),
    '0': () => set([0, endS]),
    Escape: () => set([0, endS]),
  }
  return {
    onKeyDown: (event) => {
      const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : keys[event.key]
      if (act === undefined) return
      event.preventDefault()
      act()
    },
    onPointerDown: (event) => {
      fingers.set(event.pointerId, xIn(event))
      const element = event.currentTarget as HTMLElement
      element.setPointerCapture(event.pointerId)
    },
    onPointerMove: (event) => {
      const before = fingers.get(event.pointerId)
      if (before === undefined) return
      const x = xIn(event)
      const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1]
      fingers.set(event.pointerId, x)
      if (other === undefined) set(moveWindow(get(), endS, (before - x) * perPixel()))
      else if (Math.abs(before - other) > 8 && Math.abs(x - other) > 8)
        zoom(Math.abs(x - other) / Math.abs(before - other), momentAt((x + other) / 2))
    },
    onPointerUp: (event) => {
      fingers.delete(event.pointerId)
    },
    onDblClick: () => set([0, endS]),
    onWheel: (event) => {
      // A wheel scrolls the page; it zooms once the picture was clicked or focused, or with Ctrl.
      const element = event.currentTarget as HTMLElement
      if (!event.ctrlKey && !event.metaKey && document.activeElement !== element) return
      event.preventDefault()
      zoom(Math.exp(-event.deltaY / 400), momentAt(xIn(event)))
    },
  }
}

function xOnScreen(event: MouseEvent): number {
  return event.clientX - (event.currentTarget as HTMLElement).getBoundingClientRect().left
}
