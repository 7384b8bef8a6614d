import { execFile } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { expect, it } from 'vitest'

const run = promisify(execFile)
const root = fileURLToPath(new URL('../..', import.meta.url))
const command = `'${process.execPath}' '${root}dist/cli/main.cjs'`

it('a log that is piped in is read like a file, and a long wait for it is told on stderr alone', async () => {
  const file = `${root}samples/heron-loop.csv`
  const named = await run('sh', ['-c', `${command} stages --json '${file}'`])
  const piped = await run('sh', [
    '-c',
    `(head -n 700 '${file}'; sleep 4; tail -n +701 '${file}') | ${command} stages --json -`,
  ])
  expect(piped.stdout.replace('"path": "-"', '')).toBe(named.stdout.replace(/"path": "[^"]*"/, ''))
  expect(piped.stderr).toMatch(/^reading -: (0 MB so far|waiting for its first line)\n$/)
  expect(named.stderr).toBe('')
})
