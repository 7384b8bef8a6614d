/**
 * Colours of a chart, by what they stand for. Values are CSS colours: hexadecimal in a file, `var(--…)` in the page,
 * where the style sheet switches between light and dark.
 */
export interface ChartTheme {
  readonly background: string
  readonly ink: string
  /** Axis labels and everything that may step back. */
  readonly faint: string
  readonly grid: string
  /** Measured samples. */
  readonly raw: string
  /** Lines and fills by what held the power, and the same hue dark (or light) enough for text. */
  readonly limit: string
  readonly limitText: string
  readonly heat: string
  readonly heatText: string
  readonly demand: string
  readonly demandText: string
  readonly undetermined: string
  readonly undeterminedText: string
  /** Machines in the order they were named; taken again from the start when there are more. */
  readonly machine1: string
  readonly machine1Text: string
  readonly machine2: string
  readonly machine2Text: string
  readonly machine3: string
  readonly machine3Text: string
  readonly machine4: string
  readonly machine4Text: string
}

/**
 * The palette of Okabe and Ito, told apart with every common kind of colour blindness. Yellow (#F0E442) is left out:
 * it is too pale for a line on white. Causes have its colours; its green, purple, orange and sky blue are too near to each other, or too
 * pale on white, for lines of machines.
 *
 * @source M. Okabe, K. Ito (2002, revised 2008), Color Universal Design, jfly.uni-koeln.de/color; B. Wong (2011),
 *   Points of view: color blindness, Nature Methods 8, 441
 */
export const OKABE_ITO = {
  black: '#000000',
  orange: '#E69F00',
  skyBlue: '#56B4E9',
  bluishGreen: '#009E73',
  blue: '#0072B2',
  vermillion: '#D55E00',
  reddishPurple: '#CC79A7',
} as const

/**
 * On white. The machines' hues were searched for the greatest least difference between any two of them, seen with full colour vision and with
 * each of the three kinds of colour blindness, at a contrast of 3 or more (WCAG 2.2, 1.4.11); tested. Text hues are darkened to a contrast of 4.5 (WCAG 2.2, 1.4.3);
 * tested.
 */
export const LIGHT_THEME: ChartTheme = {
  background: '#FFFFFF',
  ink: '#1A1D21',
  faint: '#5A6068',
  grid: '#E3E5E8',
  raw: '#A9AFB7',
  limit: OKABE_ITO.blue,
  limitText: '#00639B',
  heat: OKABE_ITO.vermillion,
  heatText: '#A84A00',
  demand: '#1A1D21',
  demandText: '#1A1D21',
  undetermined: '#7A8088',
  undeterminedText: '#5A6068',
  machine1: '#0AA070',
  machine1Text: '#00704F',
  machine2: '#BF4596',
  machine2Text: '#9A3279',
  machine3: '#97830C',
  machine3Text: '#6F6000',
  machine4: '#5548CC',
  machine4Text: '#4A3EB8',
}

/** On near-black. Blue and vermillion are too dark there, so sky blue and a lighter vermillion take their places. */
export const DARK_THEME: ChartTheme = {
  background: '#14171A',
  ink: '#F1F3F5',
  faint: '#A9B0B8',
  grid: '#2C3136',
  raw: '#6B737C',
  limit: OKABE_ITO.skyBlue,
  limitText: '#7CC5EF',
  heat: '#F07A21',
  heatText: '#F59A54',
  demand: '#F1F3F5',
  demandText: '#F1F3F5',
  undetermined: '#8F969E',
  undeterminedText: '#A9B0B8',
  machine1: '#12BD8B',
  machine1Text: '#3FCBA2',
  machine2: '#B86FC8',
  machine2Text: '#CF9ADB',
  machine3: '#F0A010',
  machine3Text: '#F0B43A',
  machine4: '#7F63FF',
  machine4Text: '#A596FF',
}

/** The theme of charts inside the page: every colour a custom property, see {@link themeProperties}. */
export const PAGE_THEME = Object.fromEntries(
  Object.keys(LIGHT_THEME).map((name) => [name, `var(--${propertyName(name)})`]),
) as unknown as ChartTheme

/** A theme as the custom properties that {@link PAGE_THEME} refers to: `--ink:#1A1D21;…`. */
export function themeProperties(theme: ChartTheme): string {
  return Object.entries(theme)
    .map(([name, colour]) => `--${propertyName(name)}:${colour}`)
    .join(';')
}

/** So many machines have a colour of their own. */
export const MACHINE_COLOURS = 4

/** Line and text colour of the machine at a position in the order they were named. */
export function machineColours(theme: ChartTheme, position: number): { line: string; text: string } {
  const colours = [
    { line: theme.machine1, text: theme.machine1Text },
    { line: theme.machine2, text: theme.machine2Text },
    { line: theme.machine3, text: theme.machine3Text },
    { line: theme.machine4, text: theme.machine4Text },
  ]
  return colours[position % MACHINE_COLOURS]!
}

/** Mark of the machine at a position in the order they were named: another shape for another colour. */
export function machineShape(position: number): string {
  return SHAPES[position % SHAPES.length]!
}

const SHAPES = ['circle', 'square', 'triangle-up', 'diamond'] as const

function propertyName(name: string): string {
  return name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)
}
