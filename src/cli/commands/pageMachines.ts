import { InputError } from '../../errors.js'
import { readInTurn } from '../../files/readInTurn.js'
import { fitMachine } from '../../machine/fitMachine.js'
import { readSubject } from '../../machine/readSubject.js'
import type { SharedLogs } from '../../machine/readTestedMachine.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { TestSheet } from '../../sheet/testSheet.js'

/**
 * One machine for each sheet, in the order named. Sheets of the same chip and workload share one score curve, so that
 * machines differ by their chassis only.
 *
 * @param onProgress - told after each machine: how many are done
 * @param logs - logs read so far; what is read is added
 * @throws InputError `subject-wrong` for a model, or what reading and fitting throws
 */
export async function pageMachines(
  paths: readonly string[],
  onProgress: (done: number) => void,
  logs: SharedLogs = new Map(),
): Promise<readonly TestedMachine[]> {
  const sheets = await readInTurn(paths, readTestSheet)
  const machines: TestedMachine[] = []
  for (const sheet of sheets) {
    const others = sheets.filter((other) => other !== sheet && chipKey(other) === chipKey(sheet))
    machines.push(await fitMachine([sheet, ...others], { logs }))
    onProgress(machines.length)
  }
  return machines
}

async function readTestSheet(path: string): Promise<TestSheet> {
  const subject = await readSubject(path)
  if (subject.kind === 'sheet') return subject.sheet
  throw new InputError('subject-wrong', `expected a test sheet, got a ${subject.kind} model`, {
    where: { file: path },
    remedy: 'a page shows measurements: name the test sheets that the model was fitted from',
  })
}

function chipKey({ chip, workload }: TestSheet): string {
  return JSON.stringify([chip, workload.name, workload.score, workload.better])
}
