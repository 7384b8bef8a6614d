import { sayPercent } from '../figures/sayEstimate.js'

/** How far off the curve is at levels that are left out, and simple forms beside it, best first. */
export interface CurveCriticismView {
  readonly missPct: number
  readonly forms: readonly { readonly form: string; readonly missPct: number }[]
}

/** A sentence on how well the curve predicts a level that it was not fitted to, to follow another; empty with too few levels. */
export function sayCriticism(criticism: CurveCriticismView | null): string {
  if (criticism === null) return ''
  const { missPct, forms } = criticism
  const best = forms[0]!
  const shown = best.form === 'power law' ? [best] : [best, forms.find(({ form }) => form === 'power law')!]
  const others = shown.map((other) => `${article(other.form)} ${other.form} by ${sayPercent(other.missPct)}`)
  return ` Left out one level at a time, this curve misses by ${sayPercent(missPct)}, ${others.join(', ')}.`
}

function article(word: string): string {
  return /^[aeiou]/.test(word) ? 'an' : 'a'
}
