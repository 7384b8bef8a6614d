import { sayMoment } from '../figures/sayDuration.js'

/** What of a finding is needed to see that two say the same. */
interface Grouped {
  readonly code: string
  readonly severity: string
  readonly message: string
  readonly atS: number | null
  readonly about?: readonly string[]
}

/** A finding to be told in full, and where else the same was found: `flight: a.csv at 12:54 (25 K), b.csv at 11:37 (33 K)`. */
export interface FindingGroup<Found> {
  readonly first: Found
  readonly others: string
}

/**
 * Findings of one sheet, those that differ only in their figures and in whose they are told once. A session of many loads in a row has
 * most of its cautions of every load.
 *
 * @param findings - of one file, in the order in which they are to be told
 * @returns groups in the order of their first findings
 */
export function groupFindings<Found extends Grouped>(
  findings: readonly Found[],
): readonly FindingGroup<Found>[] {
  const groups = new Map<string, Found[]>()
  for (const [index, finding] of findings.entries()) {
    const { code, severity, about } = finding
    const key = JSON.stringify(
      about === undefined ? index : [code, severity, about.length, bodyOf(finding).replace(FIGURE, '#')],
    )
    groups.set(key, [...(groups.get(key) ?? []), finding])
  }
  return [...groups.values()].map((group) => ({ first: group[0]!, others: sayOthers(group) }))
}

/** A number, with its unit where one follows. */
const FIGURE = /\d(?:[\d.,]*\d)?(?:\s(?:K|W|s|%|°C)(?!\p{L}))?/gu

/** The message without those whose it is. */
function bodyOf({ message, about = [] }: Grouped): string {
  return message.slice(about.map((name) => `${name}: `).join('').length)
}

function sayOthers([first, ...others]: readonly Grouped[]): string {
  if (others.length === 0) return ''
  const folder = commonFolder([first!, ...others].map(({ about }) => about!.at(-1)!))
  const figures = bodyOf(first!).match(FIGURE) ?? []
  const byOwner = new Map<string, string[]>()
  for (const other of others) {
    const owner = other.about!.slice(0, -1).join(': ')
    const own = (bodyOf(other).match(FIGURE) ?? []).filter((figure, index) => figure !== figures[index])
    const at = other.atS === null ? '' : ` at ${sayMoment(other.atS)}`
    const place = `${other.about!.at(-1)!.slice(folder.length)}${at}${own.length === 0 ? '' : ` (${own.join(', ')})`}`
    byOwner.set(owner, [...(byOwner.get(owner) ?? []), place])
  }
  return [...byOwner]
    .map(([owner, places]) => `${owner === '' ? '' : `${owner}: `}${places.join(', ')}`)
    .join('; ')
}

/** The folders that all paths begin with: `../logs/`. */
function commonFolder(paths: readonly string[]): string {
  const [first = '', ...others] = paths
  let end = first.lastIndexOf('/') + 1
  while (end > 0 && !others.every((path) => path.startsWith(first.slice(0, end)))) {
    end = first.lastIndexOf('/', end - 2) + 1
  }
  return first.slice(0, end)
}
