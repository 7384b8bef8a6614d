import { describe, expect, it } from 'vitest'
import { type ChartPanel, xPixel, yPixel } from '../../../../src/show/charts/chartPanel.js'
import { chartTextWidth } from '../../../../src/show/charts/chartTextWidth.js'
import { placeStageLabels } from '../../../../src/show/charts/trace/chartStageLabels.js'
import { thinTrace } from '../../../../src/show/charts/trace/chartThinTrace.js'
import { heronTrace } from '../../chartFixture.js'

const data = heronTrace()
const stages = data.loads.flatMap((load) => load.stages)

describe('labels of stages', () => {
  it.each([300, 400, 600, 800, 1200])('cover neither one another nor the trace at %i px', (widthPx) => {
    const panel: ChartPanel = { xRange: [0, 1800], yRange: [0, 120], widthPx, heightPx: 280 }
    const trace = thinTrace({ timesS: data.trace.timesS, values: data.trace.powerW }, panel)
    const labels = placeStageLabels(stages, trace, panel, { short: widthPx < 520, say: () => '#000' })
    expect(labels).toHaveLength(3)
    const boxes = labels.map((label) => {
      const left = xPixel(panel, label.x)
      const middle = yPixel(panel, label.y)
      return { left, right: left + chartTextWidth(label.text, 14, true), top: middle - 7, bottom: middle + 7 }
    })
    for (const [index, box] of boxes.entries()) {
      expect(box.left).toBeGreaterThanOrEqual(0)
      expect(box.right).toBeLessThanOrEqual(widthPx + 1)
      for (const other of boxes.slice(index + 1))
        expect(
          box.bottom <= other.top ||
            other.bottom <= box.top ||
            box.right <= other.left ||
            other.right <= box.left,
        ).toBe(true)
      const covered = trace.filter((point) => {
        const [x, y] = [xPixel(panel, point.x), yPixel(panel, point.y)]
        return x > box.left && x < box.right && y > box.top && y < box.bottom
      })
      expect(covered).toEqual([])
    }
  })

  it('say what a decay falls from and toward', () => {
    const panel: ChartPanel = { xRange: [0, 1800], yRange: [0, 120], widthPx: 800, heightPx: 280 }
    const texts = placeStageLabels(stages, [], panel, { short: false, say: () => '#000' }).map(
      (label) => label.text,
    )
    expect(texts[0]).toMatch(/^Burst 104.*held by a power limit$/)
    expect(texts[1]).toMatch(/^Short-term 86.* to 44\.1.*held by heat$/)
  })
})
