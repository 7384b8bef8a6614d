/** How much a finding weighs: worth knowing, worth caution, or reason not to conclude. */
export type Severity = 'note' | 'caution' | 'unsafe'

/** One thing that the audit found (section 3 of cli/README.md, `check`). */
export interface Finding {
  /** Stable, kebab-case. */
  readonly code: string
  readonly severity: Severity
  /** What is the matter, why it matters, and what to do. */
  readonly message: string
  /** Seconds of the log; null when it concerns the whole. */
  readonly atS: number | null
  /** Whose it is in a sheet of several workloads or logs: workload, then log. The message begins with them. */
  readonly about?: readonly string[]
}

/** A finding of one workload or log among several. */
export function findingAbout(name: string, finding: Finding): Finding {
  return { ...finding, message: `${name}: ${finding.message}`, about: [name, ...(finding.about ?? [])] }
}

/** Whether a finding forbids to conclude. */
export function isUnsafe(finding: Finding): boolean {
  return finding.severity === 'unsafe'
}
