import { runInside } from '../cli/commandLine.js'

/** Writes the page of some sheets, of one workload or of many, as `holdwatt page` does. */
export async function makePage(sheets: readonly string[], file: string): Promise<void> {
  await runWell(['page', ...sheets, '--out', file])
}

/** What a command prints as JSON. */
export async function runJson(words: readonly string[]): Promise<unknown> {
  return JSON.parse(await runWell([...words, '--json']))
}

async function runWell(words: readonly string[]): Promise<string> {
  const { status, stdout, stderr } = await runInside(words)
  if (status !== 0) throw new Error(`holdwatt ${words.join(' ')} ended with ${status}: ${stderr}`)
  return stdout
}
