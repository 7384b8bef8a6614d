import stringWidth from 'string-width'
import { describe, expect, it } from 'vitest'
import { plotIntervals } from '../../../src/show/terminal/plotIntervals.js'
import { saySurvey } from '../../../src/show/terminal/saySurvey.js'
import { about } from '../chartFixture.js'
import { survey } from '../surveyFixture.js'

const plain = { width: 80, colour: false }
const W = { unit: 'W', kind: 'power' } as const
const failed = [{ path: 'archive/wren.yaml', error: { message: 'the log `wren.csv` is not there' } }]

describe('a survey in the terminal', () => {
  it('looks as it did', async () => {
    const text = `${saySurvey({ workloads: [survey()], failed }, plain).replaceAll('\u00a0', ' ')}\n`
    await expect(text.replace(/ +$/gm, '')).toMatchFileSnapshot('../../golden/survey.txt')
  })

  it.each([60, 80, 120])('keeps within %i columns', (width) => {
    const lines = saySurvey({ workloads: [survey()], failed }, { width, colour: false }).split('\n')
    const wide = lines.filter((line) => stringWidth(line) > Math.max(width, 80))
    expect(wide).toEqual([])
  })

  it('claims a lead only where the intervals of the first two chips don’t meet', () => {
    const apart = survey()
    const chips = apart.chips.map((chip, index) =>
      index === 0 ? { ...chip, score: about(11_500, 310) } : chip,
    )
    const say = (one: ReturnType<typeof survey>) => saySurvey({ workloads: [one], failed: [] }, plain)
    expect(say(apart)).toContain('Merlin 12 leads (extrapolated);')
    expect(say({ ...apart, chips })).toContain('no chip clearly leads')
  })
})

describe('intervals on one scale', () => {
  const row = (name: string, value: number, half: number) => ({
    name,
    estimate: about(value, half),
    note: '',
    ink: 'faint' as const,
  })

  it('stand where their values are: the least bound at the left end, the greatest at the right', () => {
    const [first, second] = plotIntervals([row('a', 10, 2), row('b', 20, 4)], W, plain).split('\n')
    const bar = (line: string) => line.slice(5, line.lastIndexOf('  '))
    expect(bar(first!).startsWith('├')).toBe(true)
    expect(first!.indexOf('●')).toBeLessThan(second!.indexOf('├'))
    const [from, at, to] = ['├', '●', '┤'].map((mark) => second!.indexOf(mark))
    expect(Math.abs(at! - from! - (to! - at!))).toBeLessThanOrEqual(1)
  })

  it('that are alike, alone or missing are drawn all the same', () => {
    expect(plotIntervals([row('a', 10, 0)], W, plain)).toContain('●')
    expect(plotIntervals([{ ...row('a', 1, 0), estimate: undefined }], W, plain)).toContain('–')
  })
})
