import type { CDPSession } from 'playwright-core'
import { expect, it } from 'vitest'
import { describeDesk } from './describeDesk.js'
import { drawn, giveFiles, sample } from './openDesk.js'

const PHONE = { hasTouch: true, isMobile: true, viewport: { width: 360, height: 740 } }

describeDesk('deskTouch.test.ts', 'the desk under fingers', (given) => {
  it('zooms by pinch about the place between the fingers, moves by drag, and drags an edge of a load', async () => {
    const { tab, context, messages, close } = await given.open(PHONE)
    await giveFiles(tab, [sample('ibis-compile.tsv')])
    await drawn(tab, 1)
    const fingers = await context.newCDPSession(tab)
    const chart = tab.locator('.zoomable')
    await chart.scrollIntoViewIfNeeded()
    const box = (await chart.boundingBox())!
    const [middle, y] = [box.x + box.width / 2, box.y + 80]

    const whole = await shownS(chart)
    await touch(fingers, [
      [
        [middle - 30, y],
        [middle + 30, y],
      ],
      [
        [middle - 60, y],
        [middle + 60, y],
      ],
      [
        [middle - 90, y],
        [middle + 90, y],
      ],
    ])
    const pinched = await shownS(chart)
    const lengths = [whole, pinched].map(([from, to]) => to - from)
    expect(lengths[0]! / lengths[1]!).toBeGreaterThan(2.5)
    expect(lengths[0]! / lengths[1]!).toBeLessThan(3.5)

    await touch(fingers, [[[middle, y]], [[middle - 40, y]], [[middle - 80, y]]])
    const moved = await shownS(chart)
    expect(moved[0]).toBeGreaterThan(pinched[0])
    expect(moved[1] - moved[0]).toBeCloseTo(lengths[1]!, -1)

    await tab.getByRole('button', { name: 'Whole log' }).click()
    await tab.getByRole('button', { name: 'Correct the loads' }).click()
    const end = tab.getByRole('slider', { name: 'End of load 1' })
    await end.scrollIntoViewIfNeeded()
    const edge = (await end.boundingBox())!
    const [x, edgeY] = [edge.x + edge.width - 4, edge.y + 100]
    await touch(fingers, [[[x, edgeY]], [[x - 50, edgeY]], [[x - 100, edgeY]]])
    await tab.locator('.load-head mark').waitFor()
    expect(await tab.evaluate(() => document.documentElement.scrollWidth)).toBe(360)
    expect(messages).toEqual([])
    await close()
  }, 60_000)
})

type Point = readonly [x: number, y: number]

/** Fingers that are set down, moved from place to place, and lifted. */
async function touch(session: CDPSession, steps: readonly (readonly Point[])[]): Promise<void> {
  for (const [index, points] of steps.entries()) {
    await session.send('Input.dispatchTouchEvent', {
      type: index === 0 ? 'touchStart' : 'touchMove',
      touchPoints: points.map(([x, y], id) => ({ x, y, id })),
    })
  }
  await session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
}

/** The part of the log that the picture shows, s: as its label says to a screen reader. */
async function shownS(chart: { getAttribute: (name: string) => Promise<string | null> }) {
  const words = (await chart.getAttribute('aria-label'))!
  const [, from, to] = /, ([\d:]+) to ([\d:]+)\./.exec(words)!
  return [from, to].map((moment) =>
    moment!.split(':').reduce((sum, part) => 60 * sum + Number(part), 0),
  ) as unknown as readonly [number, number]
}
