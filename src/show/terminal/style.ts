import pc from 'picocolors'

/** How a result is drawn: columns available, and whether colour may be used. */
export interface Style {
  readonly width: number
  readonly colour: boolean
}

/** What a colour stands for; one place decides which colour that is. */
export type Ink = 'strong' | 'faint' | 'measured' | 'fitted' | 'band' | 'good' | 'caution' | 'unsafe'

/** Writes text in an ink; plain when the style has no colour. */
export function inkText(text: string, ink: Ink, style: Style): string {
  const colours = pc.createColors(style.colour)
  switch (ink) {
    case 'strong':
      return colours.bold(text)
    case 'faint':
      return colours.dim(text)
    case 'measured':
      return colours.blue(text)
    case 'fitted':
      return colours.yellow(text)
    case 'band':
      return colours.dim(colours.yellow(text))
    case 'good':
      return colours.green(text)
    case 'caution':
      return colours.yellow(text)
    case 'unsafe':
      return colours.red(text)
  }
}
