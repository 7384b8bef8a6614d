import { readHead } from '../files/readHead.js'
import { splitSheetPath } from './readSheet.js'

/**
 * Whether a file is a test sheet rather than a log: by its name, or by keys of a sheet at the beginning of a line. One of its tests may
 * be named behind it.
 *
 * @throws InputError as reading it would, when it is missing or no file
 */
export async function isSheetFile(path: string): Promise<boolean> {
  const { file } = splitSheetPath(path)
  const head = await readHead(file)
  return /\.ya?ml$/i.test(file) || /^(machine|chip|chassis|workload|trials)[ \t]*:/m.test(head)
}
