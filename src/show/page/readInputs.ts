import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { readInTurn } from '../../files/readInTurn.js'
import { besideSheet } from '../../machine/readTestedMachine.js'
import type { ReadTest, ReadTrial } from '../../machine/testedMachine.js'
import type { PageInput } from './pageContent.js'

/** Names, sizes and SHA-256 checksums of every file that tests were read from, none twice. */
export async function readInputs(
  tests: readonly { readonly file: string; readonly read: ReadTest | null }[],
): Promise<readonly PageInput[]> {
  const paths = tests.flatMap(({ file, read }) => [
    file,
    ...(read?.trials ?? []).flatMap((trial) => (trial.kind === 'logged' ? filesOf(trial, file) : [])),
  ])
  return readInTurn([...new Set(paths)], async (name) => {
    const bytes = await readFile(name)
    return { name, bytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') }
  })
}

/** A trial's log, and the table of its scores where it has one. */
function filesOf({ path, trial }: ReadTrial, file: string): readonly string[] {
  return trial.table === null ? [path] : [path, besideSheet({ file }, trial.table.file)]
}
