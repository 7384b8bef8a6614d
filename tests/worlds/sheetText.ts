/** A run as the sheet states it: with or without times. */
export interface SheetRun {
  readonly startS?: number
  readonly endS?: number
  readonly score: number
}

export interface SheetTrial {
  readonly log: string
  readonly mode?: string
  readonly runs: readonly SheetRun[]
}

export interface SheetFacts {
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  readonly ambientC?: number
  readonly workload: string
  readonly unit: string
  readonly better: 'higher' | 'lower'
  readonly trials: readonly SheetTrial[]
  /** How run times are written: seconds with decimals, or minutes and seconds. */
  readonly times?: 'seconds' | 'minutes'
}

/** A test sheet in YAML, as a reviewer would type it. */
export function sheetText(facts: SheetFacts): string {
  const lines = [
    `machine: ${facts.machine}`,
    `chip: ${facts.chip}`,
    `chassis: ${facts.chassis}`,
    ...(facts.ambientC === undefined ? [] : [`ambient: ${facts.ambientC} degC`]),
    'workload:',
    `  name: ${facts.workload}`,
    `  score: ${facts.unit}`,
    `  better: ${facts.better}`,
    'trials:',
  ]
  for (const trial of facts.trials) {
    lines.push(`  - log: ${trial.log}`)
    if (trial.mode !== undefined) lines.push(`    mode: ${trial.mode}`)
    lines.push('    runs:')
    for (const run of trial.runs) lines.push(`      - { ${runText(run, facts.times ?? 'seconds')} }`)
  }
  return `${lines.join('\n')}\n`
}

function runText(run: SheetRun, times: 'seconds' | 'minutes'): string {
  if (run.startS === undefined || run.endS === undefined) return `score: ${run.score}`
  const say = times === 'seconds' ? (s: number) => `${s.toFixed(1)} s` : minutes
  return `start: ${say(run.startS)}, end: ${say(run.endS)}, score: ${run.score}`
}

function minutes(seconds: number): string {
  const whole = Math.round(seconds)
  return `"${String(Math.floor(whole / 60)).padStart(2, '0')}:${String(whole % 60).padStart(2, '0')}"`
}
