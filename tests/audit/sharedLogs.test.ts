import { cp, mkdtemp, readdir, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { checkFiles } from '../../src/audit/checkFiles.js'
import type { SharedLogs } from '../../src/machine/readTestedMachine.js'
import { readReviewTests } from '../../src/machine/review/readReview.js'
import { readReviewSheet } from '../../src/sheet/readSheet.js'

const folder = await mkdtemp(join(tmpdir(), 'holdwatt-shared-'))
afterAll(() => rm(folder, { recursive: true }))

it('the audit of a review takes the logs that the review has read, and finds in them what it finds alone', async () => {
  await cp('samples/review', folder, { recursive: true })
  const path = join(folder, 'ibis-15.yaml')
  const alone = await checkFiles([path])
  const logs: SharedLogs = new Map()
  await readReviewTests(await readReviewSheet(path), logs)
  expect(logs.size).toBe(2)
  for (const name of await readdir(folder)) if (name.endsWith('.csv')) await rm(join(folder, name))
  expect(await checkFiles([path], {}, logs)).toEqual(alone)
  await expect(checkFiles([path])).rejects.toMatchObject({ code: 'log-missing' })
})
