import * as fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { inOrder } from '../../../../src/cli/archive/workers/inOrder.js'

async function collect<T>(results: AsyncIterable<T>): Promise<T[]> {
  const all: T[] = []
  for await (const result of results) all.push(result)
  return all
}

/** A promise that others settle. */
function gate(): { readonly open: () => void; readonly opened: Promise<void> } {
  let open = () => {}
  const opened = new Promise<void>((resolve) => {
    open = resolve
  })
  return { open, opened }
}

const turns = async (count: number) => {
  for (let turn = 0; turn < count; turn++) await Promise.resolve()
}

describe('tasks side by side', () => {
  it('give their results in order, whichever ends first, and never more at once than allowed', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.nat(20), { maxLength: 30 }),
        fc.integer({ min: 1, max: 8 }),
        async (lengths, atOnce) => {
          let running = 0
          let most = 0
          const run = async (length: number) => {
            running += 1
            most = Math.max(most, running)
            await turns(length)
            running -= 1
            return length
          }
          expect(await collect(inOrder(lengths, run, atOnce))).toEqual(lengths)
          expect(most).toBeLessThanOrEqual(atOnce)
        },
      ),
      { numRuns: 100, seed: 7 },
    )
  })

  it('are read no further ahead than that while nobody takes the results', async () => {
    let read = 0
    function* endless() {
      for (;;) yield read++
    }
    const results = inOrder(endless(), async (task) => task, 3)
    expect((await results.next()).value).toBe(0)
    await turns(50)
    expect(read).toBeLessThanOrEqual(4)
    expect((await results.next()).value).toBe(1)
  })

  it('give a result that is there although the next task has not come yet', async () => {
    const later = gate()
    async function* slowList() {
      yield 'first'
      await later.opened
      yield 'second'
    }
    const results = inOrder(slowList(), async (task) => task, 4)
    expect((await results.next()).value).toBe('first')
    later.open()
    expect((await results.next()).value).toBe('second')
    expect((await results.next()).done).toBe(true)
  })
})
