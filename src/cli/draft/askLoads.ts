import { basename } from 'node:path'
import { InputError } from '../../errors.js'
import type { MachineDraft, ReviewRequest } from '../../machine/review/draftReview.js'
import { type LoadChoice, parseLoadName } from '../../sheet/draft/loadChoice.js'
import type { ReviewTable } from '../../sheet/draft/parseReviewTable.js'
import { type DraftLoad, isOfLog } from '../../sheet/draft/placeScores.js'
import { wrapText } from '../../show/figures/wrapText.js'
import { sayDraftLoads } from '../../show/terminal/draft/sayDraft.js'
import type { Style } from '../../show/terminal/style.js'
import type { Context } from '../context.js'
import { chooseStyle, type OutputOptions } from '../output/outputOptions.js'
import { withoutControls } from '../output/withoutControls.js'
import { isThere } from './readDraftKind.js'

type Ask = (question: string) => Promise<string>

/** Asks which is better of each metric that its name and unit leave open; an empty answer leaves it open. */
export async function askDirections(
  { metrics }: ReviewTable,
  ask: Ask,
): Promise<ReadonlyMap<string, 'higher' | 'lower'>> {
  const answers = new Map<string, 'higher' | 'lower'>()
  for (const { name, better } of metrics) {
    if (better !== null) continue
    const answer = (await ask(`Is higher or lower better for "${withoutControls(name)}" (h or l): `))
      .trim()
      .toLowerCase()
    if (answer !== '' && 'higher'.startsWith(answer)) answers.set(name, 'higher')
    if (answer !== '' && 'lower'.startsWith(answer)) answers.set(name, 'lower')
  }
  return answers
}

/** Asks which load each workload is that has no place; what is not answered stays without one. */
export async function askLoads(
  request: ReviewRequest,
  drafts: readonly MachineDraft[],
  {
    ask,
    context,
    options,
  }: { readonly ask: Ask; readonly context: Context; readonly options: OutputOptions },
): Promise<readonly LoadChoice[]> {
  const choices = [...request.choices]
  for (const { machine, loads, tests, unplaced } of drafts) {
    const open = new Map(
      unplaced
        .filter(({ workload }) => workload !== '')
        .map(({ workload, mode }) => [JSON.stringify([workload, mode]), { workload, mode }]),
    )
    if (open.size === 0) continue
    const free = loads.filter((load) => !tests.some((test) => test.load === load))
    const style = chooseStyle(options, context)
    context.writeErr(`${sayFree(free, style)}\n${wrapText(ANSWERS, style.width, 2)}\n`)
    for (const { workload, mode } of open.values()) {
      const what = withoutControls([
        workload,
        ...(mode === null ? [] : ['@', mode]),
        ...(machine === null ? [] : ['of', machine]),
      ])
      const question = `Which load is ${what.join(' ')}? `
      const load = await askLoad({ question, loads }, ask, context)
      if (load !== undefined) choices.unshift({ machine, workload, mode, load })
    }
  }
  return choices
}

const ANSWERS =
  'Answer with a number or FILE.csv#NUMBER, with none where no power was logged, or with nothing to leave it out.'

/** Loads that no workload has yet, by the names that an answer may use. */
function sayFree(loads: readonly DraftLoad[], style: Style): string {
  if (loads.length === 0) return '  Every load has a workload already.'
  const listed = loads.map((load) => ({ ...load, log: basename(load.log) }))
  return sayDraftLoads(withoutControls(listed), [], style)
}

interface LoadQuestion {
  readonly question: string
  readonly loads: readonly DraftLoad[]
}

/** Asks until the answer is one of the loads, `none`, or empty. */
async function askLoad(
  { question, loads }: LoadQuestion,
  ask: Ask,
  context: Context,
): Promise<LoadChoice['load'] | undefined> {
  for (;;) {
    const answer = (await ask(question)).trim()
    if (answer === '') return undefined
    try {
      const choice = parseLoadName(answer)
      if (choice === 'none' || loads.filter((load) => isChosen(load, choice)).length === 1) return choice
      context.writeErr('  That is not one of the loads above.\n')
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      context.writeErr(`  ${error.message}\n`)
    }
  }
}

function isChosen(load: DraftLoad, { log, number }: Exclude<LoadChoice['load'], 'none'>): boolean {
  return (log === null || isOfLog(load, log)) && (number === null || number === load.number)
}

/** Asks for the names that neither table nor options give; not for those of a sheet that is there already. */
export async function askNames(draft: MachineDraft, out: string, ask: Ask): Promise<MachineDraft> {
  if (isThere(out)) return draft
  const name = async (given: string | null, what: string, of: string | null) =>
    given ?? ((await ask(`${what}${of === null ? '' : ` of ${withoutControls(of)}`}: `)).trim() || null)
  const machine = await name(draft.machine, 'Machine', null)
  const chip = await name(draft.chip, 'Chip', machine)
  return { ...draft, machine, chip, chassis: await name(draft.chassis, 'Chassis', machine) }
}
