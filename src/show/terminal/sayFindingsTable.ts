import { shortenPath } from '../figures/shorten.js'
import { wrapText } from '../figures/wrapText.js'
import { plotTable } from './plotTable.js'
import type { FileFindings } from './sayFindings.js'
import { inkText, type Style } from './style.js'

/** Many audited files as a table of one line each: the verdict, and the codes of what was found, worst first. */
export function sayFindingsTable(files: readonly FileFindings[], style: Style): string {
  const room = Math.floor((style.width - 16) / 2)
  const rows = files.map((file) => {
    const word = verdictOf(file)
    return [shortenPath(file.path, room), inkText(word, INK[word], style), codesOf(file, room)]
  })
  const count = (word: Verdict) => files.filter((file) => verdictOf(file) === word).length
  const summary = `Safe to draw conclusions: ${count('safe')}; safe with cautions: ${count('caution')}; not safe: ${count('unsafe')}. For the findings in one file: holdwatt check FILE.`
  return `${plotTable(COLUMNS, rows, style)}\n\n${wrapText(summary, style.width, 2)}`
}

type Verdict = 'safe' | 'caution' | 'unsafe'
const INK = { safe: 'good', caution: 'caution', unsafe: 'unsafe' } as const
const COLUMNS = [{ heading: 'file' }, { heading: 'verdict' }, { heading: 'findings' }] as const

function verdictOf({ findings }: FileFindings): Verdict {
  if (findings.some((finding) => finding.severity === 'unsafe')) return 'unsafe'
  return findings.some((finding) => finding.severity === 'caution') ? 'caution' : 'safe'
}

/** As many codes as there is room for, the most serious first; notes are left out. */
function codesOf({ findings }: FileFindings, room: number): string {
  const serious = findings.filter((finding) => finding.severity !== 'note')
  const codes = [
    ...new Set(
      ['unsafe', 'caution'].flatMap((each) => serious.filter((f) => f.severity === each).map((f) => f.code)),
    ),
  ]
  for (let shown = codes.length; shown > 0; shown--) {
    const rest = codes.length - shown
    const text = codes.slice(0, shown).join(', ') + (rest > 0 ? ` +${rest}` : '')
    if (text.length <= room || shown === 1) return text
  }
  return ''
}
