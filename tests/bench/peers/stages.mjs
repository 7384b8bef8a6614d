// A byte scan of a log and what `stages` makes of it, each five times in turn, by the built package in a process of its own: no
// tokeniser's tables crowd the memory. Prints one line each: name | processor time of each call, ms.
import { readFileSync } from 'node:fs'

const [, , library, log] = process.argv
const { findLoads, parseLog } = await import(library)
const bytes = readFileSync(log)
const ways = { scan: () => countLines(bytes), stages: () => findLoads(parseLog(bytes).trace) }
const times = { scan: [], stages: [] }
// The first turn is a warm-up: of the scan too, which is compiled while it runs.
for (let turn = 0; turn < 6; turn++) {
  for (const [name, run] of Object.entries(ways)) {
    const before = process.cpuUsage()
    run()
    const { user, system } = process.cpuUsage(before)
    if (turn > 0) times[name].push((user + system) / 1000)
  }
}
for (const [name, list] of Object.entries(times)) console.log(`${name} | ${list.join(' ')}`)

function countLines(bytes) {
  let lines = 0
  for (let i = 0; i < bytes.length; i++) if (bytes[i] === 0x0a) lines++
  return lines
}
