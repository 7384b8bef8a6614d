#!/usr/bin/env node
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { readCompiled } from './readCompiled.js'
import type { runProcess } from './runProcess.js'

/** Weight of the bytecode that runs between two looks at whether a function is hot; 132 KB is what the engine takes. */
const BUDGET = 528 * 1024
/** Bytes of the bytecode that one function may take in of those that it calls; 920 is what the engine takes. */
const INLINED = 300
/** Commands that read logs and fit no curve. */
const READERS: readonly string[] = ['log', 'record', 'draft', 'check', 'stages']

const words = process.argv.slice(2)
const load = createRequire(import.meta.url)
const { runProcess: runWords } = loadCommand() as { readonly runProcess: typeof runProcess }
runWords(words)

/** The command itself, which is bundled apart from this, as bytecode where the build has left it. */
function loadCommand(): unknown {
  const folder = fileURLToPath(new URL('.', import.meta.url))
  const file = join(folder, 'runProcess.cjs')
  // A single word is answered at once.
  if (words.length < 2) return load(file)
  const fits = !READERS.includes(words[0]!)
  delayOptimising(fits)
  // Bytecode belongs to one version of the engine, one kind of machine and the flags that are set.
  const made = `${process.version}-${process.platform}-${process.arch}-${fits ? 'fits' : 'reads'}`
  return readCompiled(file, { compiled: join(folder, 'compiled', made), load })
}

/**
 * Lets a function run four times as long as node 20 does by itself before it is compiled to fast code. Of a run that lasts less than a
 * second, compiling is a large part, and much of what is compiled is soon done with: every command takes 5 to 30 % less so, on one
 * core and on two, and a log of a million rows no longer. A function that takes in fewer of those that it calls compiles sooner, too: commands that
 * fit curves take 6 to 9 % less so, but a long log is read more slowly, so that those that read only are left as they are.
 * Loops are compiled as they stand, without a copy of their first round, which takes a fifth of the compiler's time: commands that fit curves take 5 % less so, `stages` 4 %,
 * a log of 400,000 rows as long. Short-lived values are swept up by the thread that made them: another thread's help is waited for where cores are busy.
 *
 * Only on the version of node on which that was measured; others may count differently.
 */
function delayOptimising(fits: boolean): void {
  if (!process.version.startsWith('v20.')) return
  const { setFlagsFromString } = load('node:v8') as typeof import('node:v8')
  setFlagsFromString(`--interrupt-budget=${BUDGET}`)
  setFlagsFromString('--no-turbo-loop-peeling')
  setFlagsFromString('--no-parallel-scavenge')
  if (fits) setFlagsFromString(`--max-inlined-bytecode-size-cumulative=${INLINED}`)
}
