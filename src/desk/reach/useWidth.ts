/// <reference lib="dom" />
import { useLayoutEffect, useRef, useState } from 'preact/hooks'

/**
 * The width that a picture is drawn with in an element, in steps, and a reference to hang on it; 0 before it stands in the page.
 * Where letters are larger than usual, as on a very fine screen, a picture is drawn narrower and stretched, so that its letters grow too.
 */
export function useWidth() {
  const element = useRef<HTMLDivElement>(null)
  const [{ widthPx, scale }, set] = useState({ widthPx: 0, scale: 1 })
  useLayoutEffect(() => {
    const measure = () => {
      const next = letterScale()
      const roomPx = (element.current?.clientWidth ?? 0) / next
      set({ widthPx: Math.floor(roomPx / STEP_PX) * STEP_PX, scale: next })
    }
    const observer = new ResizeObserver(measure)
    if (element.current) observer.observe(element.current)
    measure()
    return () => observer.disconnect()
  }, [])
  return { element, widthPx, scale }
}

/** How much larger letters are than a browser's usual 16 px. */
function letterScale(): number {
  return Math.max(1, Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / USUAL_PX || 1)
}

const USUAL_PX = 16

/** Pictures are drawn anew only for a width that shows. */
const STEP_PX = 8
