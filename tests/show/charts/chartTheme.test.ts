import { describe, expect, it } from 'vitest'
import {
  type ChartTheme,
  DARK_THEME,
  LIGHT_THEME,
  machineColours,
  machineShape,
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
    const lines = [LIGHT_THEME.limit, LIGHT_THEME.heat]
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
  ] as const)('give every line and mark a contrast of 3 or more: %s', (_name, theme) => {
    // WCAG 2.2, success criterion 1.4.11.
    const { limit, heat, demand, undetermined } = theme
    for (const colour of [limit, heat, demand, undetermined, ...machines(theme)])
      expect([colour, contrast(colour, theme.background) >= 3]).toEqual([colour, true])
  })

  it.each([
    ['light', LIGHT_THEME],
    ['dark', DARK_THEME],
  ] as const)(
    'tell four machines apart for the colour-blind, too, and by their marks: %s',
    (_name, theme) => {
      // A difference of 2 is just seen (CIE 1976); 25 is as far apart as blue and violet.
      for (const seen of Object.values(COLOUR_VISION)) {
        const labs = machines(theme).map((hex) => labOf(seenAs(linear(hex), seen)))
        const apart = labs.flatMap((a, i) =>
          labs.slice(i + 1).map((b) => Math.hypot(...a.map((x, k) => x - b[k]!))),
        )
        expect(Math.min(...apart)).toBeGreaterThan(25)
      }
      expect(new Set([0, 1, 2, 3].map(machineShape)).size).toBe(4)
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
  const [red, green, blue] = linear(hex)
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue
}

type Triple = readonly [number, number, number]

/** Linear red, green and blue of sRGB (IEC 61966-2-1). */
function linear(hex: string): Triple {
  return [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  }) as unknown as Triple
}

function machines(theme: ChartTheme): readonly string[] {
  return [0, 1, 2, 3].map((position) => machineColours(theme, position).line)
}

/**
 * How linear colours are seen: with full colour vision, and without the red, green or blue cones.
 *
 * @source G. M. Machado, M. M. Oliveira, L. A. F. Fernandes (2009), IEEE TVCG 15, 1291, table of severity 1.0; figures from memory
 */
const COLOUR_VISION: { readonly [kind: string]: readonly Triple[] } = {
  full: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
}

function seenAs(colour: Triple, rows: readonly Triple[]): Triple {
  return rows.map((row) =>
    Math.max(
      0,
      row.reduce((sum, share, k) => sum + share * colour[k]!, 0),
    ),
  ) as unknown as Triple
}

/** CIE 1976 L*a*b* of linear sRGB, white D65. */
function labOf([red, green, blue]: Triple): Triple {
  const root = (t: number) => (t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116)
  const x = root((0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505)
  const y = root(0.2126 * red + 0.7152 * green + 0.0722 * blue)
  const z = root((0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089)
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)]
}
