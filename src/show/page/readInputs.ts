import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { readInTurn } from '../../files/readInTurn.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { PageInput } from './pageContent.js'

/** Names, sizes and SHA-256 checksums of every file that machines were read from, none twice. */
export async function readInputs(machines: readonly TestedMachine[]): Promise<readonly PageInput[]> {
  const tests = machines.flatMap((machine) => machine.tests)
  const paths = tests.flatMap((test) => [
    test.sheet.file,
    ...test.trials.flatMap((read) => (read.kind === 'logged' ? [read.path] : [])),
  ])
  return readInTurn([...new Set(paths)], async (name) => {
    const bytes = await readFile(name)
    return { name, bytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') }
  })
}
