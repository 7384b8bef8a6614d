import { describe, expect, it } from 'vitest'
import { freeName } from '../../src/desk/state/desk.js'
import { moveWindow, windowAround, zoomWindow } from '../../src/desk/trace/traceWindow.js'

describe('the window of a trace', () => {
  it('keeps the moment under the hand where it is', () => {
    const [from, to] = zoomWindow([100, 300], 1000, 2, 150)
    expect(to - from).toBe(100)
    expect((150 - from) / (to - from)).toBeCloseTo(0.25, 12)
  })

  it('never leaves the log, and never gets shorter than two seconds', () => {
    expect(zoomWindow([0, 1000], 1000, 0.5, 900)).toEqual([0, 1000])
    expect(moveWindow([800, 1000], 1000, 500)).toEqual([800, 1000])
    expect(moveWindow([0, 200], 1000, -5)).toEqual([0, 200])
    const [from, to] = zoomWindow([10, 13], 1000, 1e9, 11)
    expect(to - from).toBe(2)
  })

  it('shows a load with a margin inside the log', () => {
    expect(windowAround(0, 100, 102)).toEqual([0, 102])
    expect(windowAround(100, 200, 1000)).toEqual([96, 204])
  })
})

describe('the name of a file on the desk', () => {
  it('gets a number when another file has it', () => {
    expect(freeName('loop.csv', [])).toBe('loop.csv')
    expect(freeName('loop.csv', ['loop.csv', 'loop-2.csv'])).toBe('loop-3.csv')
    expect(freeName('loop', ['loop'])).toBe('loop-2')
  })
})
