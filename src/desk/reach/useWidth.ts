/// <reference lib="dom" />
import { useLayoutEffect, useRef, useState } from 'preact/hooks'

/** The width that an element has, px in steps, and a reference to hang on it; 0 before it stands in the page. */
export function useWidth() {
  const element = useRef<HTMLDivElement>(null)
  const [widthPx, setWidth] = useState(0)
  useLayoutEffect(() => {
    const measure = () => setWidth(Math.floor((element.current?.clientWidth ?? 0) / STEP_PX) * STEP_PX)
    const observer = new ResizeObserver(measure)
    if (element.current) observer.observe(element.current)
    measure()
    return () => observer.disconnect()
  }, [])
  return { element, widthPx }
}

/** Pictures are drawn anew only for a width that shows. */
const STEP_PX = 8
