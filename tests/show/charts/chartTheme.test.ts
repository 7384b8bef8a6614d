import { describe, expect, it } from 'vitest'
import {
  DARK_THEME,
  LIGHT_THEME,
  OKABE_ITO,
  PAGE_THEME,
  themeProperties,
} from '../../../src/show/charts/chartTheme.js'

describe('chart colours', () => {
  it('are those of the published palette', () => {
    // M. Okabe, K. Ito (2002, revised 2008), Color Universal Design; B. Wong (2011), Nature Methods 8, 441.
    expect(Object.values(OKABE_ITO)).toEqual([
      '#000000',
      '#E69F00',
      '#56B4E9',
      '#009E73',
      '#0072B2',
      '#D55E00',
      '#CC79A7',
    ])
    const lines = [LIGHT_THEME.limit, LIGHT_THEME.heat, LIGHT_THEME.machine1, LIGHT_THEME.machine2]
    expect(Object.values(OKABE_ITO)).toEqual(expect.arrayContaining(lines))
  })

  it.each([
    ['light', LIGHT_THEME],
    ['dark', DARK_THEME],
  ] as const)('give every text a contrast of 4.5 or more: %s', (_name, theme) => {
    // WCAG 2.2, success criterion 1.4.3.
    const texts = Object.entries(theme).filter(([name]) => /text$|^ink$|^faint$/i.test(name))
    expect(texts).toHaveLength(10)
    for (const [name, colour] of texts)
      expect([name, contrast(colour, theme.background) >= 4.5]).toEqual([name, true])
  })

  it.each([
    ['light', LIGHT_THEME],
    ['dark', DARK_THEME],
  ] as const)(
    'give the lines of causes and of the first two machines a contrast of nearly 3 or more: %s',
    (_name, theme) => {
      const { limit, heat, demand, undetermined, machine1, machine2 } = theme
      for (const colour of [limit, heat, demand, undetermined, machine1, machine2])
        expect(contrast(colour, theme.background)).toBeGreaterThan(2.9)
    },
  )

  it('of the page are custom properties that both themes define', () => {
    const properties = Object.values(PAGE_THEME).map((value) => value.slice('var('.length, -1))
    for (const theme of [LIGHT_THEME, DARK_THEME])
      for (const property of properties) expect(themeProperties(theme)).toContain(`${property}:#`)
  })
})

/** Contrast ratio of WCAG 2.2 from relative luminances. */
function contrast(a: string, b: string): number {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number]
  return (light + 0.05) / (dark + 0.05)
}

function luminance(hex: string): number {
  const [red, green, blue] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  }) as [number, number, number]
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue
}
