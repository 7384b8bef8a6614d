import { describe, expect, it } from 'vitest'
import { type DeskHistory, redo, step, undo } from '../../src/desk/state/deskHistory.js'

const START: DeskHistory<number> = { past: [], present: 0, future: [] }

describe('the history of a desk', () => {
  it('goes back and forth over what was done', () => {
    const two = step(step(START, 1), 2)
    expect(undo(two).present).toBe(1)
    expect(undo(undo(two)).present).toBe(0)
    expect(redo(undo(undo(two))).present).toBe(1)
  })

  it('stays where it is when there is nothing to undo or redo', () => {
    expect(undo(START)).toBe(START)
    expect(redo(START)).toBe(START)
  })

  it('forgets what was undone once something else is done', () => {
    expect(redo(step(undo(step(START, 1)), 5)).present).toBe(5)
  })

  it('holds a hundred steps, not more', () => {
    let history = START
    for (let i = 1; i <= 250; i++) history = step(history, i)
    expect(history.past.length).toBe(100)
    expect(history.present).toBe(250)
  })
})
