/** What reading one file gave: its text, or why there is none. */
export type SysfsText = { readonly text: string } | { readonly problem: 'missing' | 'denied' | 'failed' }

/** The operating system's tree of small text files; paths are relative to its root and use `/`. */
export interface SysfsTree {
  /** How its root is called in messages: `/sys`. */
  readonly root: string
  /** Names in a folder, in natural order; empty when there is no such folder. */
  list(folder: string): readonly string[]
  read(path: string): SysfsText
}

/** Whole number in a file, undefined when there is none. */
export function numberIn(tree: SysfsTree, path: string): number | undefined {
  const found = tree.read(path)
  const text = 'text' in found ? found.text.trim() : ''
  return /^-?\d{1,19}$/.test(text) ? Number(text) : undefined
}

/** First line of a file, undefined when there is none. */
export function wordIn(tree: SysfsTree, path: string): string | undefined {
  const found = tree.read(path)
  const text = 'text' in found ? found.text.split('\n')[0]!.trim() : ''
  return text === '' ? undefined : text
}
