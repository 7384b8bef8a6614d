import type { ReadReview } from '../../../machine/review/readReview.js'
import type { ReadTrial } from '../../../machine/testedMachine.js'
import { sayCount } from '../../figures/sayEstimate.js'
import { sayBasis } from '../../text/sayReviewText.js'
import { METHOD_TITLE, type MethodBox, sayOrigin, sayPowerLog } from '../methodBox.js'
import type { ReviewContent } from './reviewContent.js'
import { sayEqualPower } from './reviewSections.js'

/** How the figures of a review came about, short enough to stand under an article. */
export function reviewMethod(content: ReviewContent): MethodBox {
  const { review, read, version, inputs, command } = content
  return {
    title: METHOD_TITLE,
    paragraphs: [
      sayOrigin(version),
      ...read.map(sayTested),
      `${sayBasis(review.results)} Faster means a higher score, or a shorter time. Means over workloads are geometric means, and each workload counts once, by its first metric.`,
      `The score curve of a chip in a workload is fitted to the scores and to all of the power during each run, over all machines and power modes with that chip. Equal power: ${sayEqualPower(content.atW)}.`,
      'How far two machines are apart as tested is shared out among chip, power held and temperature by exchanging them in every order (Shapley values). What the curves and the scatter of runs leave over is told as not explained.',
      'The figures hold for these samples, these workloads, and the power that the logs report.',
    ],
    files: inputs.map(({ name, sha256 }) => ({ name, sha256 })),
    command,
  }
}

/** What a machine was tested with: its logs, its workloads and how many runs were scored. */
function sayTested({ sheet, tests }: ReadReview): string {
  const first = tests.filter(({ of }) => of.isFirst)
  const runs = first.reduce((sum, { of, read }) => sum + of.alone.length + scoredRuns(read), 0)
  const rooms = [...new Set(tests.flatMap(({ of }) => of.sheet.ambientC ?? []))]
  const trials = tests.flatMap(({ read }) => read?.trials ?? [])
  const logs = [...new Set(trials.flatMap((trial) => (trial.kind === 'logged' ? [sayPowerLog(trial)] : [])))]
  const noted = trials.some(({ kind }) => kind === 'noted') ? ['levels of power noted by hand'] : []
  const modes = [...new Set(tests.flatMap(({ of }) => of.mode ?? []))]
  const parts = [
    [...logs, ...noted].join('; ') || 'no power was logged',
    sayCount(new Set(tests.map(({ of }) => of.task)).size, 'workload'),
    ...(modes.length === 0 ? [] : [`${modes.length === 1 ? 'mode' : 'modes'} ${modes.join(', ')}`]),
    sayCount(runs, 'scored run'),
    ...(rooms.length === 0 ? [] : [`room at ${rooms.join(' and ')} °C`]),
  ]
  return `${sheet.machine} (${sheet.chip}, ${sheet.chassis}): ${parts.join('; ')}.`
}

function scoredRuns(read: ReadReview['tests'][number]['read']): number {
  const counts = (read?.trials ?? []).map((trial) =>
    (trial.kind === 'logged' ? (trial as ReadTrial).runs : trial.trial.runs).reduce(
      (sum, run) => sum + (run.of ?? 1),
      0,
    ),
  )
  return counts.reduce((sum, count) => sum + count, 0)
}
