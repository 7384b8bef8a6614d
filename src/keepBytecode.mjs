import { mkdirSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename, join, resolve } from 'node:path'
import { setFlagsFromString } from 'node:v8'
import vm from 'node:vm'

// `node src/keepBytecode.mjs reads|fits`, after the command was bundled: runs commands one after the other in this process and keeps the bytecode of what they
// ran, for `src/cli/readCompiled.ts`. What they print goes nowhere.

/** By which flags of the engine a command takes, see `src/cli/main.ts`; what they run is most of what others of the kind do. */
const LINES = {
  reads: ['stages samples/heron-loop.csv', 'stages samples/ibis-loop.tsv', 'check samples/heron.yaml'],
  fits: [
    'fit samples/heron.yaml',
    'fit samples/bittern-noted.yaml',
    'project samples/heron.yaml --sustained 71W',
    'explain samples/heron.yaml samples/ibis.yaml',
    'compare samples/heron.yaml samples/ibis.yaml',
    'plan samples/heron.yaml',
  ],
}

const [kind] = process.argv.slice(2)
const folder = resolve(`dist/cli/compiled/${process.version}-${process.platform}-${process.arch}-${kind}`)
const require = createRequire(import.meta.url)
const main = require.resolve('../dist/cli/main.cjs')
const scripts = new Map()

/** One script a file, however often it is loaded, so that it gathers the functions of all runs. */
const { Script } = vm
vm.Script = function keptScript(text, options) {
  const script = scripts.get(options.filename) ?? new Script(text, options)
  scripts.set(options.filename, script)
  return script
}

function runNext(line) {
  process.argv.splice(2, Infinity, ...line.split(' '))
  delete require.cache[main]
  require(main)
  // The engine would forget functions that weren't called for a while.
  setFlagsFromString('--no-flush-bytecode')
}

function keep() {
  // Bytecode is taken only by an engine whose flags are those that it was kept with.
  setFlagsFromString('--flush-bytecode')
  for (const [path, script] of scripts) writeFileSync(join(folder, `${basename(path)}.bin`), script.createCachedData())
}

mkdirSync(folder, { recursive: true })
const lines = [...LINES[kind]]
process.stdout.write = () => true
process.on('beforeExit', () => {
  if (process.exitCode) throw new Error(`a command ended with ${process.exitCode}`)
  const next = lines.shift()
  if (next === undefined) keep()
  else setImmediate(runNext, next)
})
