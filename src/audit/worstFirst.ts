import type { Finding } from './finding.js'

const WEIGHT = { unsafe: 0, caution: 1, note: 2 } as const

/** What is upside down misleads every other finding about scores: then it is told alone, and once. */
const ABOUT_SCORES: readonly string[] = [
  'run-times-wrong',
  'scores-out-of-order',
  'runs-scatter',
  'run-off-curve',
]

/** Findings of one file, the worst first, without those that another makes void. */
export function worstFirst(findings: readonly Finding[]): readonly Finding[] {
  const contradiction = findings.find((finding) => finding.code === 'score-contradicts-better')
  const kept =
    contradiction === undefined
      ? [...findings]
      : [
          contradiction,
          ...findings.filter(({ code }) => code !== contradiction.code && !ABOUT_SCORES.includes(code)),
        ]
  return kept.sort((a, b) => WEIGHT[a.severity] - WEIGHT[b.severity])
}
