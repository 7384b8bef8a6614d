import { describe, expect, it } from 'vitest'
import { runInside } from '../commandLine.js'

describe('fit of several sheets', () => {
  it('names the sheet of each run, numbers its runs as that sheet does, and keeps to the width', async () => {
    const { stdout } = await runInside(['fit', 'samples/heron.yaml', 'samples/bittern.yaml', '--width', '80'])
    expect(stdout).toMatch(/^ +sheet +run +from/m)
    expect(stdout).toMatch(/heron\.yaml +1 +0:30/)
    expect(stdout).toMatch(/bittern\.yaml +1 +0:30/)
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80)
  })

  it('of one sheet has no column for it', async () => {
    const { stdout } = await runInside(['fit', 'samples/heron.yaml'])
    expect(stdout).toMatch(/^ +run +from/m)
  })
})
