import { execFile } from 'node:child_process'
import { chmodSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { root } from './commandLine.js'

// The commands of the README are run as they stand there, in one folder and in order, since later ones use what earlier
// ones wrote. What installs or tests the project itself, and what needs this machine's own counters, is left out.

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-readme-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const LEFT_OUT = /^(npm |npx |git |cd |holdwatt record |#|$)/

/** Every command line of the README's sh blocks, continued lines joined. */
function commandsOf(markdown: string): readonly string[] {
  const blocks = [...markdown.matchAll(/^```(?:sh|bash|console)\n([\s\S]*?)^```/gm)].map((match) => match[1]!)
  return blocks
    .flatMap((block) => block.replaceAll('\\\n', ' ').split('\n'))
    .map((line) => line.replace(/^\$ /, '').trim())
    .filter((line) => !LEFT_OUT.test(line))
}

/** Command lines that are followed by what they print, and that. */
function outputsOf(markdown: string): readonly (readonly [line: string, printed: string])[] {
  return [...markdown.matchAll(/^```sh\n(holdwatt .*)\n```\n\n```text\n([\s\S]*?)^```/gm)].map((match) => [
    match[1]!,
    match[2]!,
  ])
}

function run(
  line: string,
): Promise<{ readonly status: number; readonly stdout: string; readonly stderr: string }> {
  const env = { ...process.env, PATH: `${folder}/bin:${process.env.PATH}`, NO_COLOR: '1' }
  return new Promise((resolve) => {
    execFile('sh', ['-c', line], { cwd: folder, env, maxBuffer: 1 << 26 }, (error, stdout, stderr) => {
      resolve({ status: error === null ? 0 : Number(error.code), stdout, stderr })
    })
  })
}

describe('the README', () => {
  const markdown = readFileSync(join(root, 'README.md'), 'utf8')
  const commands = commandsOf(markdown)

  beforeAll(() => {
    for (const name of ['samples', 'models', 'dist']) symlinkSync(join(root, name), join(folder, name))
    mkdirSync(join(folder, 'bin'))
    const shim = join(folder, 'bin', 'holdwatt')
    writeFileSync(shim, `#!/bin/sh\nexec "${process.execPath}" "${join(root, 'dist/cli/main.cjs')}" "$@"\n`)
    chmodSync(shim, 0o755)
  })

  it('shows commands of the tool', () => {
    expect(commands.filter((line) => /\bholdwatt\b|main\.js/.test(line)).length).toBeGreaterThan(2)
  })

  it.each(commands)(
    'has a command that works: %s',
    async (line) => {
      const { status, stderr } = await run(line)
      // A check that finds something unsafe ends with 3, and has worked.
      expect(/\bcheck\b/.test(line) ? [0, 3] : [0], stderr).toContain(status)
    },
    240_000,
  )

  // `UPDATE_GOLDEN=1` puts what is printed now into the README.
  it.each(outputsOf(markdown))(
    'shows what a command prints: %s',
    async (line, printed) => {
      const { stdout } = await run(line)
      const now = `${stdout.trimEnd().replace(/^ *\n/, '')}\n`
      if (process.env.UPDATE_GOLDEN === '1') {
        const file = join(root, 'README.md')
        writeFileSync(
          file,
          readFileSync(file, 'utf8').replace(printed, () => now),
        )
      } else expect(now).toBe(printed)
    },
    240_000,
  )
})
