import { readHead } from '../files/readHead.js'

/**
 * Whether a file is a test sheet rather than a log: by its name, or by keys of a sheet at the beginning of a line.
 *
 * @throws InputError as reading it would, when it is missing or no file
 */
export async function isSheetFile(path: string): Promise<boolean> {
  const head = await readHead(path)
  return /\.ya?ml$/i.test(path) || /^(machine|chip|chassis|workload|trials)[ \t]*:/m.test(head)
}
