import { setFlagsFromString } from 'node:v8'

/**
 * Lets a function run twice as long as node 20 does by itself before it is compiled to fast code. Of a run that lasts less than a
 * second, compiling is a large part, and much of what is compiled is soon done with: every command takes 5 to 30 % less so, on one
 * core and on two, and a log of a million rows no longer.
 *
 * Only on the version of node on which that was measured; others may count differently.
 */
export function delayOptimising(nodeVersion: string): void {
  if (nodeVersion.startsWith('v20.')) setFlagsFromString(`--interrupt-budget=${BUDGET}`)
}

/** Weight of the bytecode that runs between two looks at whether a function is hot; 132 KB is what the engine takes. */
const BUDGET = 264 * 1024
