/** A part of a log, seconds from its first sample. */
export type TraceWindow = readonly [number, number]

/** Shorter than this, a window shows single samples. */
const SHORTEST_S = 2

/**
 * The window after a zoom.
 *
 * @param factor - above 1 shows less of the log, below 1 more
 * @param atS - the moment that stays where it is on the screen
 */
export function zoomWindow(window: TraceWindow, endS: number, factor: number, atS: number): TraceWindow {
  const lengthS = Math.min(endS, Math.max(Math.min(SHORTEST_S, endS), (window[1] - window[0]) / factor))
  const share = (atS - window[0]) / (window[1] - window[0])
  return inside([atS - share * lengthS, atS - share * lengthS + lengthS], endS)
}

/** The window moved by so many seconds, as far as the log goes. */
export function moveWindow(window: TraceWindow, endS: number, byS: number): TraceWindow {
  return inside([window[0] + byS, window[1] + byS], endS)
}

/** The window of a load, with a little of what is beside it. */
export function windowAround(startS: number, endS: number, logEndS: number): TraceWindow {
  const marginS = 0.04 * (endS - startS)
  return [Math.max(0, startS - marginS), Math.min(logEndS, endS + marginS)]
}

function inside([fromS, toS]: TraceWindow, endS: number): TraceWindow {
  const lengthS = toS - fromS
  const startS = Math.min(Math.max(0, fromS), Math.max(0, endS - lengthS))
  return [startS, startS + lengthS]
}
