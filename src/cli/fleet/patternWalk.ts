import picomatch from 'picomatch'
import type { TreeWalk } from './readTree.js'

/**
 * How a pattern's folder is walked: which files match, and which folders can hold any. The folders that stand in the pattern
 * before a `**` are named by it one by one, so nothing else is entered; below a `**` all are.
 *
 * @param glob - the pattern without the folder that it begins at
 */
export function patternWalk(glob: string): Pick<TreeWalk, 'wants' | 'enters'> {
  const wants = picomatch(glob)
  const segments = glob.split('/')
  const anyDepth = segments.findIndex((segment) => segment.includes('**'))
  // Braces and the like may hold slashes: then no segment can be told by itself, only how deep they may go.
  const isWhole = SPANS_FOLDERS.test(glob) || segments.includes('')
  const named = segments.slice(0, anyDepth === -1 ? -1 : anyDepth)
  const matchers = isWhole ? [] : named.map((segment) => picomatch(segment))
  const deepest = anyDepth !== -1 ? Number.POSITIVE_INFINITY : segments.length - 1
  return {
    wants,
    enters: (name) => {
      const parts = name.split('/')
      if (parts.length > deepest) return undefined
      if (!matchers.every((matches, depth) => depth >= parts.length || matches(parts[depth]!)))
        return undefined
      return parts.length <= matchers.length ? 'named' : 'found'
    },
  }
}

/** A bracket that is opened and not closed before the next slash, or a pattern that is turned into its opposite. */
const SPANS_FOLDERS = /^!|[{([][^})\]]*\//
