import { readFileSync } from 'node:fs'

/** One small change to the code, and what became of it. */
export interface Mutant {
  readonly status: string
  readonly mutatorName: string
  readonly replacement?: string
  readonly location: { readonly start: Place; readonly end: Place }
}

/** A place in a file; both count from 1. */
interface Place {
  readonly line: number
  readonly column: number
}

/** A file's text and its changes, as Stryker's report has them. */
export interface MutatedFile {
  readonly source: string
  readonly mutants: readonly Mutant[]
}

const NOTICED = ['Killed', 'Timeout']
const MISSED = ['Survived', 'NoCoverage']

/** The files of a report of Stryker, by path seen from src. @param path - path of the JSON report */
export function readReport(path: string): ReadonlyMap<string, MutatedFile> {
  const { files } = JSON.parse(readFileSync(path, 'utf8')) as { files: Record<string, MutatedFile> }
  return new Map(Object.entries(files).map(([name, file]) => [name.replace(/^src\//, ''), file]))
}

/** The changes of a file that a test noticed, and those that none did: others couldn't be run. */
export function partMutants({ mutants }: MutatedFile): {
  noticed: readonly Mutant[]
  missed: readonly Mutant[]
} {
  const withStatus = (statuses: readonly string[]) =>
    mutants.filter(({ status }) => statuses.includes(status))
  return { noticed: withStatus(NOTICED), missed: withStatus(MISSED) }
}
