import { spawnSync } from 'node:child_process'
import { chmodSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { builtMain, runBuilt } from '../commandLine.js'
import { BAD_LOG, makeArchive, stepLog } from './archive.js'

// One line in is one line out, and no task knows of another: so whatever splits a list, runs the same command on the pieces
// and puts the outputs one after the other gives the bytes of a single run. Shown with GNU parallel over several workers.

const isThere = spawnSync('parallel', ['--version']).status === 0
if (!isThere) console.log('GNU parallel is not installed (apt-get install parallel): its tests are left out')

const { folder, write } = makeArchive()
const names = Array.from({ length: 5 }, (_, index) => `log-${index}.csv`)
for (const [index, name] of names.entries())
  write(name, index === 3 ? BAD_LOG : stepLog(60 + 3 * index, 35 + index))
write('list.txt', `${names.join('\n')}\n`)
const tool = write('holdwatt', `#!/bin/sh\nexec "${process.execPath}" "${builtMain}" "$@"\n`)
chmodSync(tool, 0o755)

/** A shell line as the README has it, run where the archive is, with the tool in the path. */
function shell(line: string) {
  const env = { ...process.env, PATH: `${folder}:${process.env.PATH}`, HOME: folder }
  return spawnSync('bash', ['-c', line], { cwd: folder, env, encoding: 'utf8' })
}

describe.skipIf(!isThere)('several workers of GNU parallel', () => {
  it('give the bytes of one run, whatever the size of the pieces', async () => {
    const single = await runBuilt(['stages', '--from-list', 'list.txt', '--json-lines', '--jobs', '1'], {
      cwd: folder,
    })
    expect(single.stdout.split('\n')).toHaveLength(names.length + 1)
    for (const [workers, lines] of [
      [3, 1],
      [2, 3],
    ]) {
      const command = 'holdwatt stages --from-list - --json-lines --jobs 1'
      const { stdout } = shell(`parallel --pipe -k -j ${workers} -N ${lines} ${command} < list.txt`)
      expect(stdout).toBe(single.stdout)
    }
  })

  it('tell by their exit status that a file was bad, and by nothing when none was', () => {
    const command = 'parallel --pipe -k -j 2 -N 3 holdwatt check --from-list - --json-lines --jobs 1'
    expect(shell(`${command} < list.txt > out.jsonl`).status).not.toBe(0)
    const sound = 'parallel --pipe -k -j 2 -N 2 holdwatt stages --from-list - --json-lines --jobs 1'
    expect(shell(`head -3 list.txt | ${sound} > out.jsonl`)).toMatchObject({ status: 0, stderr: '' })
  })
})
