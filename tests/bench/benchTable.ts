import type { Measured } from './measure.js'

/**
 * A table of medians and ranges, each as a ratio to one contender: its floor, or the peer to beat.
 *
 * @param options.against - name of the contender that ratios are taken to
 */
export function benchTable(
  measured: readonly Measured[],
  options: { readonly title: string; readonly against: string },
): readonly string[] {
  const base = measured.find(({ name }) => name === options.against)?.times
  return [
    `## ${options.title}`,
    '',
    `| what | median | range | to ${options.against} |`,
    '| --- | --: | --: | --: |',
    ...measured.map(({ name, times }) => {
      if (!times) return `| ${name} | left out | | |`
      const ratio = base ? sayNumber(times.medianMs / base.medianMs) : ''
      return `| ${name} | ${sayMs(times.medianMs)} | ${sayMs(times.lowMs)} to ${sayMs(times.highMs)} | ${ratio} |`
    }),
  ]
}

/** Milliseconds in the unit that suits them. */
export function sayMs(ms: number): string {
  if (ms >= 1000) return `${sayNumber(ms / 1000)} s`
  return ms >= 1 ? `${sayNumber(ms)} ms` : `${sayNumber(ms * 1000)} µs`
}

/** Three digits. */
export function sayNumber(value: number): string {
  return Number(value.toPrecision(3)).toString()
}
