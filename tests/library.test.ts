import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { transform } from 'esbuild'
import { afterAll, describe, expect, it } from 'vitest'
import { strictCaller } from './strictCaller.js'

// The built package, imported by its name as a caller does. Node finds a package's own name from inside it, so the caller stands in dist. The caller's
// types are checked where the package is installed: `package.test.ts`.

const root = fileURLToPath(new URL('..', import.meta.url))
const folder = mkdtempSync(join(root, 'dist', 'caller-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('the library', () => {
  it('is imported by its name and does what it says', async () => {
    const script = join(folder, 'caller.mjs')
    const { code } = await transform(strictCaller, { loader: 'ts', target: 'es2022' })
    writeFileSync(script, `${code}\nprocess.stdout.write(JSON.stringify(answer))\n`)
    const answer = JSON.parse(await outputOf(script)) as Record<string, unknown>
    expect(answer).toMatchObject({ loads: 1, edges: [30], converged: true, level: 0.9 })
    expect(answer.slope).toBeCloseTo(2, 6)
    expect(answer.score).toBeGreaterThan(10_000)
    expect(answer.code).not.toBe('')
    expect([answer.written, answer.reviewedAtW]).toEqual([1, 60])
    expect(Math.abs(Number(answer.ahead) / Number(answer.score) - 1)).toBeLessThan(0.1)
    expect(answer.functions).toEqual(Array(6).fill('function'))
  })
})

function outputOf(script: string): Promise<string> {
  return new Promise((resolve, reject) => {
    execFile(process.execPath, [script], { cwd: root }, (error, stdout) =>
      error === null ? resolve(stdout) : reject(error),
    )
  })
}
