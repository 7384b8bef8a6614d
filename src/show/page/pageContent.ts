import type { Overview } from '../../predict/overview/overviewMachines.js'
import type { Warning } from '../../warnings.js'
import type { FileFindings } from '../terminal/sayFindings.js'
import { sayCautions } from '../text/sayCaution.js'
import { sayWarning } from '../text/sayWarning.js'
import { publicPath } from './publicPath.js'

/** All that a page shows, before it is worded and drawn. */
export interface PageContent extends Overview {
  readonly version: string
  /** The command that makes the page again. */
  readonly command: string
  readonly findings: readonly FileFindings[]
  /** Warnings in words. */
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  /** The one paragraph of cautions, for whoever might act on a projection; empty without. */
  readonly cautions: string
  readonly inputs: readonly PageInput[]
}

/** What can't be computed from the machines. */
export type PageFacts = Pick<PageContent, 'version' | 'command' | 'inputs' | 'findings'>

/** A file that the page was made from. */
export interface PageInput {
  readonly name: string
  readonly bytes: number
  readonly sha256: string
}

/**
 * What a page shows of machines that were fitted, with warnings and cautions in words.
 *
 * @param facts - what can't be computed from the machines: version, command, inputs and the audit's findings
 */
export function pageContent(overview: Overview, facts: PageFacts): PageContent {
  const warnings = overview.machines.flatMap((machine) => machine.warnings.map(wordedWarning))
  return {
    ...publicFacts(facts, warnings),
    ...overview,
    cautions: sayCautions([...new Set(overview.gaps.flatMap((gap) => gap.cautions))]),
  }
}

/** What a page says of its own making: with files by their names alone, and each finding once. */
export function publicFacts(
  facts: PageFacts,
  warnings: PageContent['warnings'],
): PageFacts & Pick<PageContent, 'warnings'> {
  const names = facts.inputs.map(({ name }) => name).filter((name) => name !== publicPath(name))
  // A log may be named within a sentence.
  const bare = (text: string) => names.reduce(withoutFolder, text)
  const named = <Told extends { readonly message: string; readonly about?: readonly string[] }>(
    told: Told,
  ): Told => {
    const about = told.about === undefined ? {} : { about: told.about.map(bare) }
    return { ...told, message: bare(told.message), ...about }
  }
  return {
    ...facts,
    inputs: facts.inputs.map((input) => ({ ...input, name: publicPath(input.name) })),
    findings: facts.findings.map(({ path, findings }) => {
      return { path: publicPath(path), findings: findings.map(named) }
    }),
    warnings: withoutRepeats(warnings, facts.findings).map(named),
  }
}

function withoutFolder(text: string, path: string): string {
  return text.replaceAll(path, () => publicPath(path))
}

/** A warning in words, with its file by its name alone. */
export function wordedWarning(warning: Warning): PageContent['warnings'][number] {
  return { code: warning.code, message: sayWarning(publicWarning(warning)) }
}

function publicWarning(warning: Warning): Warning {
  return 'file' in warning ? { ...warning, file: publicPath(warning.file) } : warning
}

/** A finding stands once: what the check says of a file, no warning says again. */
function withoutRepeats(
  warnings: PageContent['warnings'],
  findings: readonly FileFindings[],
): PageContent['warnings'] {
  const checked = new Set(findings.flatMap((file) => file.findings.map((finding) => finding.code)))
  const isSaid = (code: string) => checked.has(code) || checked.has(SAME_FINDING[code] ?? '')
  const messages = warnings.map((item) => item.message)
  return warnings.filter((item, index) => messages.indexOf(item.message) === index && !isSaid(item.code))
}

/** Warnings of a fit that the check has under another code. */
const SAME_FINDING: Readonly<Record<string, string>> = {
  'scored-runs-few': 'too-few-runs',
  'powers-alike': 'one-power',
  'scores-scatter': 'runs-scatter',
}
