import { dirname, relative } from 'node:path'
import { Command, InvalidArgumentError, Option } from 'commander'
import { readTextFile } from '../../files/readTextFile.js'
import { readFormula } from '../../log/formula/withFormulas.js'
import { draftSheet } from '../../machine/draftSheet.js'
import { readStages } from '../../machine/readStages.js'
import { type DraftHead, type DraftTrial, formatDraft } from '../../sheet/draft/formatDraft.js'
import { type LoadChoice, parseLoadChoice } from '../../sheet/draft/loadChoice.js'
import { parseMetrics } from '../../sheet/draft/metricColumns.js'
import { parseScoreTable, type ScoreTable } from '../../sheet/draft/parseScoreTable.js'
import type { DraftLoad, PlacedScores } from '../../sheet/draft/placeScores.js'
import { writeDraft } from '../../sheet/draft/writeDraft.js'
import { sayDraft, sayDraftLoads } from '../../show/terminal/draft/sayDraft.js'
import type { Context } from '../context.js'
import type { ReviewDraftOptions } from '../draft/draftReviewSheets.js'
import { loadFields, sayLoad } from '../draft/loadFields.js'
import { readDraftKind } from '../draft/readDraftKind.js'
import { addLogOptions, chosenColumns } from '../options/logOptions.js'
import { complaintOf } from '../options/quantityOption.js'
import { addOutputOptions, chooseStyle } from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { withoutControls } from '../output/withoutControls.js'

interface DraftOptions extends ReviewDraftOptions {
  readonly scoreColumn?: string
  readonly loads?: readonly number[]
}

/** `holdwatt draft LOG…`: a test sheet from logs and a table of scores. */
export function draftCommand(context: Context): Command {
  const command = new Command('draft')
    .summary('a test sheet from logs and a table of scores')
    .description(
      'Finds the loads in the logs, finds the run of each score, and writes a commented test sheet. A sheet that is there already is added to: what a person wrote in it stays. Scores that fit no run are listed, never guessed. From a folder of logs, or a table with several workloads, modes or machines, it writes a sheet of many workloads for each machine, for `review`.',
    )
    .argument('<log...>', 'logs of one machine, or a folder of logs')
    .requiredOption('--out <file>', 'the sheet to write or add to; a folder for a sheet a machine')
    .option('--scores <table>', 'CSV, tab-separated or pasted table of scores, a row a run or a mean')
    .option('--score-column <name>', 'heading of the scores, or a formula: "1e6 / time"')
    .addOption(
      new Option('--loads <numbers>', 'loads of this workload, by number: 2 or 1,3').argParser(parseNumbers),
    )
    .addOption(
      new Option(
        '--metrics <columns>',
        'columns of scores, which is better, units: "fps, low higher fps, time lower s"',
      ).argParser((text: string) => complaintOf(() => parseMetrics(text))),
    )
    .addOption(
      new Option(
        '--place <load>',
        'which load a workload is: "render @ mains=a.csv#2", "render=2", "copy=none" (may be repeated)',
      ).argParser((text: string, before: readonly LoadChoice[] = []) => [
        ...before,
        complaintOf(() => parseLoadChoice(text)),
      ]),
    )
    .option('--machine <name>', 'name of the machine; picks its rows of the table')
    .option('--chip <name>', 'name of the chip')
    .option('--chassis <name>', 'name of the chassis')
    .option('--workload <name>', 'name of the workload; picks its rows of the table')
    .addHelpText('after', EXAMPLES)
    .action((paths: string[], options: DraftOptions) => draft(paths, options, context))
  return addOutputOptions(addLogOptions(command))
}

async function draft(paths: readonly string[], options: DraftOptions, context: Context): Promise<void> {
  if ((await readDraftKind(paths, options)) === 'review') {
    const { draftReviewSheets } = await import('../draft/draftReviewSheets.js')
    return draftReviewSheets(paths, options, context)
  }
  const loads = await loadsOf(paths, options)
  const scores = options.scores === undefined ? undefined : await readScores(options.scores, options)
  const asked =
    context.ask === undefined || options.json === true ? options : await askNames(options, loads, context)
  const {
    loads: chosen,
    placed,
    workload,
    score,
    better,
  } = draftSheet({
    loads,
    chosen: asked.loads,
    scores,
    workload: asked.workload ?? null,
  })
  const head: DraftHead = {
    machine: asked.machine ?? null,
    chip: asked.chip ?? null,
    chassis: asked.chassis ?? null,
    workload,
    score,
    better,
  }
  const trials = trialsOf(chosen, loads, placed, options)
  await writeDraft(options.out, (before) => formatDraft(head, trials, before))
  const scored = [...placed.byLoad.values()].flat()
  const counted = scored.length
  const isSupposed = scored.some((score) => score.isSupposed === true)
  const view = { loads, chosen, placed: counted, isSupposed, unplaced: placed.unplaced, out: options.out }
  const document = () => ({
    loads: loads.map(loadFields),
    placed: counted,
    unplaced: placed.unplaced,
    out: options.out,
  })
  printAnswer(
    { command: 'draft', warnings: scores?.warnings ?? [], document, view, say: sayDraft },
    options,
    context,
  )
}

async function loadsOf(paths: readonly string[], options: DraftOptions): Promise<readonly DraftLoad[]> {
  const logs = await Promise.all(
    paths.map(async (path) => {
      const { log, loads } = await readStages(path, chosenColumns(options))
      return loads.map((load, index) => ({ log: path, number: index + 1, load, trace: log.trace }))
    }),
  )
  return logs.flat()
}

async function readScores(path: string, { scoreColumn }: DraftOptions): Promise<ScoreTable> {
  return parseScoreTable(await readTextFile(path), {
    file: path,
    score: scoreColumn,
    formula: await readFormula(scoreColumn),
  })
}

/** Asks on a terminal for what no option gave; an empty answer leaves it to be set in the sheet. */
async function askNames(
  options: DraftOptions,
  loads: readonly DraftLoad[],
  context: Context,
): Promise<DraftOptions> {
  const ask = context.ask!
  const name = async (given: string | undefined, question: string) =>
    given ?? ((await ask(`${question}: `)).trim() || undefined)
  const crowded = options.loads === undefined && loads.some(({ number }) => number > 1)
  if (crowded)
    context.writeErr(`${sayDraftLoads(withoutControls(loads), [], chooseStyle(options, context))}\n`)
  const numbers = crowded ? await ask('Which loads are of this workload (as in 2 or 1,3): ') : ''
  const [machine, chip] = [await name(options.machine, 'Machine'), await name(options.chip, 'Chip')]
  const [chassis, workload] = [
    await name(options.chassis, 'Chassis'),
    await name(options.workload, 'Workload'),
  ]
  return {
    ...options,
    ...(numbers.trim() === '' ? {} : { loads: parseNumbers(numbers) }),
    ...(machine === undefined ? {} : { machine }),
    ...(chip === undefined ? {} : { chip }),
    ...(chassis === undefined ? {} : { chassis }),
    ...(workload === undefined ? {} : { workload }),
  }
}

function trialsOf(
  chosen: readonly DraftLoad[],
  loads: readonly DraftLoad[],
  placed: PlacedScores,
  options: DraftOptions,
): readonly DraftTrial[] {
  return chosen.map((each) => ({
    log: relative(dirname(options.out), each.log).replaceAll('\\', '/'),
    options: chosenColumns(options),
    load: loads.some(({ log, number }) => log === each.log && number > 1) ? each.number : null,
    comment: sayLoad(each),
    runs: placed.byLoad.get(each) ?? [],
  }))
}

function parseNumbers(text: string): readonly number[] {
  const numbers = text
    .split(/[,\s]+/)
    .filter((word) => word !== '')
    .map(Number)
  if (numbers.length === 0 || numbers.some((number) => !Number.isInteger(number) || number < 1)) {
    throw new InvalidArgumentError('Expected numbers of loads, counted from 1, as in 2 or 1,3.')
  }
  return numbers
}

const EXAMPLES = `
Examples:
  holdwatt draft loop.csv --scores scores.csv --machine "Heron 14" --chip "Kestrel 16" --out heron.yaml
  holdwatt draft afternoon.csv --loads 2 --scores scores.tsv --workload render --out render.yaml
  holdwatt draft afternoon.csv --out heron.yaml --json
  holdwatt draft logs --scores review.csv --metrics "points, fps, low higher fps, time lower s" --out sheets/
  holdwatt draft logs --scores review.csv --place "film encode @ battery=heron-battery.csv#6" --place "drive copy=none" --machine "Heron 14" --out heron-14.yaml`
