import { drawCase, makeInput } from './fuzzCase.js'
import { judgeCase } from './judgeCase.js'
import { secondsAllowed } from './secondsAllowed.js'

/** What became of one case; memory is the process's peak so far. */
export interface FuzzReport {
  readonly number: number
  readonly outcome: string
  readonly failure?: string
  readonly cpuS: number
  readonly rssMB: number
  readonly bytes: number
}

const [seed, from, to] = process.argv.slice(2).map(Number) as [number, number, number]

for (let number = from; number < to; number++) {
  const fuzzCase = drawCase(seed, number)
  const bytes = makeInput(fuzzCase)
  const before = process.cpuUsage()
  const end = await judgeCase(fuzzCase, bytes).then(
    (outcome) => ({ outcome }),
    (error: unknown) => ({
      outcome: 'failed',
      failure: error instanceof Error ? error.message : String(error),
    }),
  )
  const { user, system } = process.cpuUsage(before)
  const cpuS = (user + system) / 1e6
  const allowedS = secondsAllowed(fuzzCase, bytes.length)
  const late =
    cpuS > allowedS
      ? { outcome: 'failed', failure: `took ${cpuS.toFixed(1)} s, ${allowedS.toFixed(1)} s were allowed` }
      : {}
  const rssMB = process.resourceUsage().maxRSS / 1024
  await new Promise((sent) =>
    process.send!({ number, ...end, ...late, cpuS, rssMB, bytes: bytes.length }, sent),
  )
}
process.disconnect?.()
