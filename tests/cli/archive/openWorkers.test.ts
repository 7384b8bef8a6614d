import { expect, it } from 'vitest'
import { openWorkers } from '../../../src/cli/archive/archiveAnswers.js'
import { makeArchive } from './archive.js'

const { write } = makeArchive()
const task = { command: 'stages', options: {}, wants: 'document', version: '', debug: false } as const

/** A worker that does what the name of its file says. */
const workerFile = write(
  'worker.mjs',
  `import { parentPort } from 'node:worker_threads'
  parentPort.on('message', ({ paths }) => {
    const [what] = paths
    if (what === 'throws') setTimeout(() => { throw new Error('out of what it needs') })
    else if (what === 'fills memory') setTimeout(() => {
      throw Object.assign(new Error('heap'), { code: 'ERR_WORKER_OUT_OF_MEMORY' })
    })
    else if (what === 'exits') process.exit(7)
    else if (what === 'rejects') Promise.reject(new Error('nobody listens'))
    else if (what === 'computes for ever') for (;;);
    else if (what === 'never answers') setInterval(() => {}, 1000)
    else parentPort.postMessage({ kind: 'done', paths, document: '{}', row: undefined, status: 0 })
    if (what === 'answers and exits') process.exit(0)
  })`,
)

async function answersTo(jobs: number, names: readonly string[], patienceS = 60) {
  const workers = await openWorkers(jobs, workerFile, async () => patienceS)
  const answers = await Promise.all(names.map((name) => workers.run({ ...task, paths: [name] })))
  await workers.close()
  return answers
}

it.each([1, 2, 8])('a thread that dies over a file fails that file alone, with %i jobs', async (jobs) => {
  const names = ['a', 'throws', 'b', 'exits', 'exits', 'c', 'rejects', 'd', 'e', 'throws']
  const answers = await answersTo(jobs, names)
  expect(answers.map(({ kind, paths: [name] }) => `${name} ${kind}`)).toEqual(
    names.map((name) => `${name} ${name.length === 1 ? 'done' : 'failed'}`),
  )
  expect(answers[1]).toMatchObject({ status: 1, error: { code: 'tool-fault', file: 'throws' } })
  expect(answers[3]).toMatchObject({ status: 1, error: { message: expect.stringContaining('status 7') } })
  expect(answers[3]).toMatchObject({
    said: expect.stringMatching(/^exits: holdwatt: a fault of the tool: .*\n$/),
  })
})

it('a file that needs more memory than there is for it is bad input, and told with what to do', async () => {
  const [full, after] = await answersTo(1, ['fills memory', 'a'])
  expect(full).toMatchObject({ status: 2, error: { code: 'memory-exhausted', file: 'fills memory' } })
  expect(full).toMatchObject({
    said: expect.stringMatching(/^fills memory: .*memory.*\n {2}work on it alone/),
  })
  expect(after).toMatchObject({ kind: 'done' })
})

it('a file is not failed for what its thread did before: it is done again in a fresh one', async () => {
  const answers = await answersTo(2, ['answers and exits', 'a', 'answers and exits', 'b', 'c'])
  expect(answers.map(({ kind }) => kind)).toEqual(['done', 'done', 'done', 'done', 'done'])
})

it('a file that never ends is given up after its patience, and the rest go on', async () => {
  const names = ['computes for ever', 'a', 'never answers', 'b']
  const answers = await answersTo(1, names, 1)
  expect(answers.map(({ kind }) => kind)).toEqual(['failed', 'done', 'failed', 'done'])
  for (const hung of [answers[0], answers[2]])
    expect(hung).toMatchObject({
      status: 1,
      error: { message: expect.stringMatching(/no end within 1 min.*given up/) },
    })
})

it('workers that are closed end what they are at, and start nothing new', async () => {
  const workers = await openWorkers(1, workerFile, async () => 60)
  const run = (name: string) => workers.run({ ...task, paths: [name] })
  expect(await run('a')).toMatchObject({ kind: 'done' })
  const hanging = run('never answers')
  const waiting = run('b')
  await new Promise((resolve) => setTimeout(resolve, 100))
  await workers.close()
  expect(await hanging).toMatchObject({ kind: 'failed' })
  expect(await Promise.race([waiting, new Promise((resolve) => setTimeout(resolve, 300, 'forgotten'))])).toBe(
    'forgotten',
  )
})
