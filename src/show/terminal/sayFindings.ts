import { sayMoment } from '../figures/sayDuration.js'
import { sayCount } from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { groupFindings } from '../text/groupFindings.js'
import { inkText, type Style } from './style.js'

/** What `check` found in one file. */
export interface FileFindings {
  readonly path: string
  readonly findings: readonly {
    readonly code: string
    readonly severity: 'note' | 'caution' | 'unsafe'
    readonly message: string
    readonly atS: number | null
    readonly about?: readonly string[]
  }[]
}

/** The audit: worst first, each with its code, place and what to do; a verdict for every file. */
export function sayFindings(files: readonly FileFindings[], style: Style): string {
  return files.map((file) => sayFile(file, style)).join('\n\n')
}

const ORDER = ['unsafe', 'caution', 'note'] as const
const INK = { unsafe: 'unsafe', caution: 'caution', note: 'faint' } as const

function sayFile(file: FileFindings, style: Style): string {
  const sorted = [...file.findings].sort((a, b) => ORDER.indexOf(a.severity) - ORDER.indexOf(b.severity))
  const items = groupFindings(sorted).map(({ first: finding, others }) => {
    const at = finding.atS === null ? '' : ` at ${sayMoment(finding.atS)}`
    const head = `  ${inkText(finding.severity, INK[finding.severity], style)}${at}  ${inkText(finding.code, 'faint', style)}`
    const also = others === '' ? '' : `\n${wrapText(`The same: ${others}.`, style.width, 4)}`
    return `${head}\n${wrapText(finding.message, style.width, 4)}${also}`
  })
  return [inkText(file.path, 'strong', style), ...items, wrapText(verdict(file), style.width, 2)].join('\n')
}

function verdict(file: FileFindings): string {
  const unsafe = file.findings.filter((finding) => finding.severity === 'unsafe').length
  const cautions = file.findings.filter((finding) => finding.severity === 'caution').length
  if (unsafe > 0) return `Not safe to draw conclusions: fix ${sayCount(unsafe, 'finding')} first.`
  if (cautions > 0) return `Safe to draw conclusions, with ${sayCount(cautions, 'caution')}.`
  return 'Safe to draw conclusions.'
}
