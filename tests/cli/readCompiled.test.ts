import { execFile } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { Script } from 'node:vm'
import { afterAll, describe, expect, it } from 'vitest'
import { readCompiled } from '../../src/cli/readCompiled.js'
import { builtMain } from './commandLine.js'

const run = promisify(execFile)
const folder = mkdtempSync(join(tmpdir(), 'holdwatt-compiled-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const load = createRequire(import.meta.url)
const compiled = join(folder, 'compiled')
const FIRST = join(folder, 'first.cjs')

/** Two files that need each other, a package of node's, and a text that isn't ASCII. */
function writeBundle(): void {
  mkdirSync(compiled, { recursive: true })
  writeFileSync(
    FIRST,
    "exports.name = 'é ·'; exports.other = require('./second.cjs'); exports.sep = require('node:path').sep; exports.at = __filename",
  )
  writeFileSync(join(folder, 'second.cjs'), "module.exports = { of: require('./first.cjs').name }")
}

const LOADED = { name: 'é ·', other: { of: 'é ·' }, sep: join('/'), at: FIRST }

describe('a bundled file', () => {
  it('is loaded with what it requires, each file once, where nothing was kept of it', () => {
    writeBundle()
    expect(readCompiled(FIRST, { compiled, load })).toEqual(LOADED)
  })

  it('is left to node where there is no folder of bytecode', () => {
    writeBundle()
    const asked: string[] = []
    const loadOne = ((id: string) => asked.push(id)) as unknown as NodeJS.Require
    readCompiled(FIRST, { compiled: join(folder, 'nothing'), load: loadOne })
    expect(asked).toEqual([FIRST])
  })

  it('is compiled as ever where what was kept is no bytecode, or that of a text of another length', () => {
    writeBundle()
    for (const kept of [
      Buffer.from('no bytecode'),
      Buffer.alloc(0),
      new Script('1 + 1').createCachedData(),
    ]) {
      writeFileSync(join(compiled, 'first.cjs.bin'), kept)
      expect(readCompiled(FIRST, { compiled, load })).toEqual(LOADED)
    }
  })

  it('says where it failed as node does', () => {
    writeFileSync(join(folder, 'failing.cjs'), "throw new Error('here')")
    const stackOf = (fail: () => unknown): string => {
      try {
        return String(fail())
      } catch (error) {
        return (error as Error).stack!.split('\n')[1]!.replace(/\(?([^ ()]*)\)?$/, '$1')
      }
    }
    const place = (stack: string) => /failing\.cjs:\d+:\d+/.exec(stack)?.[0]
    const file = join(folder, 'failing.cjs')
    expect(place(stackOf(() => readCompiled(file, { compiled, load })))).toBe(
      place(stackOf(() => load(file))),
    )
  })
})

describe('the built command', () => {
  /** Says of each script whether the engine refused its bytecode, or that it had none. */
  const PROBE = `const vm = require('node:vm'); const { Script } = vm
vm.Script = function (text, options) {
  const script = new Script(text, options)
  process.stderr.write(options.cachedData ? (script.cachedDataRejected ? 'refused ' : 'taken ') : 'none ')
  return script
}`

  it.each([
    ['stages', 'samples/bittern-loop.csv'],
    ['project', 'samples/bittern.yaml', '--sustained', '50W'],
  ])('runs from bytecode that the engine takes: %s', async (...words) => {
    const probe = join(folder, 'probe.cjs')
    writeFileSync(probe, PROBE)
    const { stderr, stdout } = await run(process.execPath, ['--require', probe, builtMain, ...words])
    expect(new Set(stderr.trim().split(' '))).toEqual(new Set(['taken']))
    // Bytecode of other flags is refused, and the answer is the same.
    const other = await run(process.execPath, ['--max-lazy', '--require', probe, builtMain, ...words])
    expect(new Set(other.stderr.trim().split(' '))).toEqual(new Set(['refused']))
    expect(other.stdout).toBe(stdout)
  })

  it('imports while it runs in one file only, which is left to node', () => {
    const chunks = join(builtMain, '../chunks')
    const files = [
      builtMain,
      join(builtMain, '../runProcess.cjs'),
      ...readdirSync(chunks).map((name) => join(chunks, name)),
    ]
    const importing = files.filter((file) => /(?<![.\w])import\(/.test(readFileSync(file, 'utf8')))
    expect(importing.map((file) => file.replace(/.*[\\/](\w+)-.*/, '$1'))).toEqual(['packages'])
  })
})
