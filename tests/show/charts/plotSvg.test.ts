import { describe, expect, it } from 'vitest'
import type { Chart } from '../../../src/show/charts/chart.js'
import { equalPowerChart } from '../../../src/show/charts/chartEqualPower.js'
import { gapChart } from '../../../src/show/charts/chartGap.js'
import { reviewChart } from '../../../src/show/charts/chartReview.js'
import { scoreCurveChart } from '../../../src/show/charts/chartScoreCurve.js'
import { surveyChart } from '../../../src/show/charts/chartSurvey.js'
import { sweepChart } from '../../../src/show/charts/chartSweep.js'
import { DARK_THEME, LIGHT_THEME, PAGE_THEME } from '../../../src/show/charts/chartTheme.js'
import { whatIfSpec } from '../../../src/show/charts/chartWhatIf.js'
import { compileChart, plotSvg } from '../../../src/show/charts/plotSvg.js'
import { traceChart } from '../../../src/show/charts/trace/chartTrace.js'
import { equalPower, gap, heronCurve, heronSweep, heronTrace } from '../chartFixture.js'
import { reviewedPair } from '../reviewFixture.js'
import { survey } from '../surveyFixture.js'

const charts: Readonly<Record<string, Chart>> = {
  trace: traceChart(heronTrace()),
  'score-curve': scoreCurveChart(heronCurve()),
  'equal-power': equalPowerChart(equalPower()),
  gap: gapChart(gap()),
  sweep: sweepChart(heronSweep()),
  survey: surveyChart(survey(), 'survey'),
  review: reviewChart(reviewedPair()),
}
const picture = { widthPx: 800, theme: LIGHT_THEME, titled: true }
const phone = { widthPx: 330, theme: PAGE_THEME, titled: false }

describe('a chart as SVG', () => {
  it.each(Object.keys(charts))('looks as it did: %s', async (name) => {
    await expect(await plotSvg(charts[name]!, picture)).toMatchFileSnapshot(`../../golden/charts/${name}.svg`)
    await expect(await plotSvg(charts[name]!, phone)).toMatchFileSnapshot(
      `../../golden/charts/${name}-phone.svg`,
    )
  })

  it.each(Object.keys(charts))('is as wide as asked, and its text grows with it: %s', async (name) => {
    const svg = await plotSvg(charts[name]!, picture, { pixelWidth: 1920 })
    const [, width, height, logical] = /width="(\S+)" height="(\S+)" viewBox="0 0 (\S+)/.exec(svg)!
    expect(Number(width)).toBe(1920)
    expect(Number(logical)).toBeGreaterThanOrEqual(800)
    expect(Number(logical)).toBeLessThan(816)
    expect(Number(height)).toBeGreaterThan(400)
  })

  it.each(Object.keys(charts))('carries title and text equivalent in words: %s', async (name) => {
    const svg = await plotSvg(charts[name]!, { ...picture, theme: DARK_THEME })
    expect(svg).toMatch(/<title>[^<]{10,}<\/title><desc>[^<]{40,}<\/desc>/)
    expect(svg).toContain('role="img"')
  })

  it('takes its colours from the page’s custom properties when it stands in the page', async () => {
    const svg = await plotSvg(charts.trace!, phone)
    expect(svg).toContain('stroke="var(--heat)"')
    expect(svg.match(/(?:fill|stroke)="#[0-9a-f]+"/gi) ?? []).toEqual([])
  })

  it('holds no style attribute, which the page’s policy would refuse', async () => {
    for (const chart of Object.values(charts)) expect(await plotSvg(chart, phone)).not.toContain('style=')
  })

  it('shows hostile names as text', async () => {
    const bad = `</text><script>alert('1')</script>\u001b[31m\u0000"&`
    const hostile = [
      traceChart({ ...heronTrace(), machine: bad, title: bad, scoreUnit: bad }),
      scoreCurveChart({ ...heronCurve(), machine: bad, chip: bad, title: bad, scoreUnit: bad }),
      equalPowerChart({
        ...equalPower(),
        title: bad,
        chips: equalPower().chips.map((chip) => ({ ...chip, chip: bad })),
      }),
      gapChart({ ...gap(), first: bad, second: bad, parts: [{ ...gap().parts[0]!, name: bad }] }),
      sweepChart({ ...heronSweep(), machine: bad, chip: bad, title: bad }),
      surveyChart(
        { ...survey(), machines: survey().machines.map((one) => ({ ...one, machine: bad })) },
        'survey',
      ),
      reviewChart({ ...reviewedPair(), first: bad, rows: [{ ...reviewedPair().rows[0]!, name: bad }] }),
    ]
    for (const chart of hostile) {
      for (const frame of [picture, phone]) {
        const svg = await plotSvg(chart, frame)
        expect(svg).not.toContain('<script')
        // biome-ignore lint/suspicious/noControlCharactersInRegex: that none is left is what is tested
        expect(svg).not.toMatch(/[\u0000-\u0008\u000b-\u001f]/)
      }
    }
  })

  it('is refused when its specification is wrong, instead of drawn without a part', async () => {
    const wrong = {
      mark: 'bar',
      encoding: { x: { field: 'a', type: 'quantitative', wrongKey: 1 }, nonsense: {} },
    }
    await expect(compileChart({ data: { values: [] }, ...wrong } as never)).rejects.toThrow(
      /invalid chart specification/,
    )
  })

  it('of the what-if compiles to a form that holds no code', async () => {
    expect(JSON.stringify(await compileChart(whatIfSpec()))).not.toContain('function')
  })
})
