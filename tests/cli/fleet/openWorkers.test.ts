import { expect, it } from 'vitest'
import { openWorkers } from '../../../src/cli/fleet/openWorkers.js'
import { makeArchive } from './archive.js'

const { write } = makeArchive()
const task = { command: 'stages', options: {}, wants: 'document', version: '', debug: false } as const

it('a thread that dies over a task fails that task alone', async () => {
  const workerFile = write(
    'worker.mjs',
    `export async function answerTask({ paths }) {
      if (paths[0] === 'deadly') {
        setTimeout(() => { throw new Error('out of what it needs') })
        await new Promise(() => {})
      }
      return { kind: 'done', paths, document: '{}', row: undefined, status: 0 }
    }`,
  )
  const workers = await openWorkers(2, workerFile)
  const names = ['a', 'deadly', 'b', 'c', 'deadly', 'd', 'e']
  const answers = await Promise.all(names.map((name) => workers.run({ ...task, paths: [name] })))
  await workers.close()
  expect(answers.map(({ kind }) => kind)).toEqual(
    names.map((name) => (name === 'deadly' ? 'failed' : 'done')),
  )
  expect(answers[1]).toMatchObject({ status: 1, error: { code: 'tool-fault', file: 'deadly' } })
})
