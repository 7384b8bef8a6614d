import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { tellWalking } from '../../../src/cli/archive/archiveTasks.js'

beforeEach(() => void vi.useFakeTimers())
afterEach(() => void vi.useRealTimers())

function told(stderrIsTerminal: boolean, seconds: number): string {
  let text = ''
  const walking = tellWalking({ stderrIsTerminal, writeErr: (piece) => (text += piece) })
  for (let second = 0; second < seconds; second++) {
    for (let i = 0; i < 1000; i++) walking.onLooked()
    vi.advanceTimersByTime(1000)
  }
  walking.stop()
  vi.advanceTimersByTime(10_000)
  return text
}

it('a long walk says how far it has come, in one line of a terminal that is taken away, or once in a file', () => {
  expect(told(true, 5)).toBe(
    '\r\u001b[2Klooking through folders: 2,000 files and folders so far' +
      '\r\u001b[2Klooking through folders: 4,000 files and folders so far\r\u001b[2K',
  )
  expect(told(false, 5)).toBe('looking through folders: 2,000 files and folders so far\n')
})

it('a short walk says nothing', () => {
  expect(told(true, 1)).toBe('')
  expect(told(false, 1)).toBe('')
})
