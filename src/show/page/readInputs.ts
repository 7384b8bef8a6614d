import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { readInTurn } from '../../files/readInTurn.js'
import type { ReadTest } from '../../machine/testedMachine.js'
import type { PageInput } from './pageContent.js'

/** Names, sizes and SHA-256 checksums of every file that tests were read from, none twice. */
export async function readInputs(
  tests: readonly { readonly file: string; readonly read: ReadTest | null }[],
): Promise<readonly PageInput[]> {
  const paths = tests.flatMap(({ file, read }) => [
    file,
    ...(read?.trials ?? []).flatMap((trial) => (trial.kind === 'logged' ? [trial.path] : [])),
  ])
  return readInTurn([...new Set(paths)], async (name) => {
    const bytes = await readFile(name)
    return { name, bytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') }
  })
}
