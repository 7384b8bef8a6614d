import stringWidth from 'fast-string-width'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { NO_BREAK } from '../figures/digits.js'
import { sayEstimate } from '../figures/sayEstimate.js'
import { inkText, type Style } from './style.js'

/** Parts of a gap as bars to the left (less) and right (more) of a middle line, with their percent. */
export function plotParts(
  parts: readonly { readonly name: string; readonly percent: Estimate; readonly total?: boolean }[],
  style: Style,
): string {
  const nameWidth = Math.max(...parts.map((part) => stringWidth(part.name)))
  const figures = parts.map((part) => sayEstimate(part.percent, '%').replaceAll(NO_BREAK, ' '))
  const figureWidth = Math.max(...figures.map((figure) => stringWidth(figure)))
  const half = Math.max(5, Math.floor((Math.min(style.width, 100) - nameWidth - figureWidth - 8) / 2))
  const scale = half / Math.max(1e-9, ...parts.map((part) => Math.abs(part.percent.value)))
  return parts
    .map((part, index) => {
      const length = Math.round(Math.abs(part.percent.value) * scale)
      const bar = (part.total ? '▓' : '█').repeat(length)
      const left = part.percent.value < 0 ? bar.padStart(half) : ' '.repeat(half)
      const right = part.percent.value < 0 ? ' '.repeat(half) : bar.padEnd(half)
      const ink = part.percent.value < 0 ? 'caution' : 'good'
      const drawn = `${inkText(left, ink, style)}│${inkText(right, ink, style)}`
      return `  ${part.name.padEnd(nameWidth)} ${drawn} ${figures[index]!.padStart(figureWidth)}`
    })
    .join('\n')
}
