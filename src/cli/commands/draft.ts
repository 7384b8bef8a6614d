import { dirname, relative } from 'node:path'
import { Command, InvalidArgumentError, Option } from 'commander'
import { readTextFile } from '../../files/readTextFile.js'
import { readFormula } from '../../log/formula/withFormulas.js'
import { draftSheet } from '../../machine/draftSheet.js'
import { readStages } from '../../machine/readStages.js'
import type { DraftHead, DraftTrial } from '../../sheet/draft/formatDraft.js'
import { parseScoreTable, type ScoreTable } from '../../sheet/draft/parseScoreTable.js'
import type { DraftLoad, PlacedScores } from '../../sheet/draft/placeScores.js'
import { writeDraft } from '../../sheet/draft/writeDraft.js'
import { sayDraft, sayDraftLoads } from '../../show/terminal/sayDraft.js'
import { sayMoment } from '../../show/text/sayDuration.js'
import { sayEstimate } from '../../show/text/sayEstimate.js'
import type { Context } from '../context.js'
import { addLogOptions, chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import { addOutputOptions, chooseStyle, type OutputOptions } from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { withoutControls } from '../output/withoutControls.js'

interface DraftOptions extends LogOptionValues, OutputOptions {
  readonly out: string
  readonly scores?: string
  readonly scoreColumn?: string
  readonly loads?: readonly number[]
  readonly machine?: string
  readonly chip?: string
  readonly chassis?: string
  readonly workload?: string
}

/** `holdwatt draft LOG…`: a test sheet from logs and a table of scores. */
export function draftCommand(context: Context): Command {
  const command = new Command('draft')
    .summary('a test sheet from logs and a table of scores')
    .description(
      'Finds the loads in the logs, finds the run of each score, and writes a commented test sheet. A sheet that is there already is added to: what a person wrote in it stays. Scores that fit no run are listed, never guessed.',
    )
    .argument('<log...>', 'logs of one machine')
    .requiredOption('--out <file>', 'the sheet to write or add to')
    .option('--scores <table>', 'CSV, tab-separated or pasted table of scores, a row a run')
    .option('--score-column <name>', 'heading of the scores, or a formula: "1e6 / time"')
    .addOption(
      new Option('--loads <numbers>', 'loads of this workload, by number: 2 or 1,3').argParser(parseNumbers),
    )
    .option('--machine <name>', 'name of the machine')
    .option('--chip <name>', 'name of the chip')
    .option('--chassis <name>', 'name of the chassis')
    .option('--workload <name>', 'name of the workload; picks its rows of the table')
    .addHelpText('after', EXAMPLES)
    .action((paths: string[], options: DraftOptions) => draft(paths, options, context))
  return addOutputOptions(addLogOptions(command))
}

async function draft(paths: readonly string[], options: DraftOptions, context: Context): Promise<void> {
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
  await writeDraft(options.out, head, trialsOf(chosen, loads, placed, options))
  const counted = [...placed.byLoad.values()].reduce((sum, list) => sum + list.length, 0)
  const view = { loads, chosen, placed: counted, unplaced: placed.unplaced, out: options.out }
  const document = () => ({
    loads: loads.map(loadFields),
    placed: counted,
    unplaced: placed.unplaced,
    out: options.out,
  })
  printAnswer({ command: 'draft', warnings: [], document, view, say: sayDraft }, options, context)
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

function sayLoad({ number, load }: DraftLoad): string {
  const { reached, levelW } = load.sustained
  const level = sayEstimate(levelW, 'W').replaceAll('\u00a0', ' ')
  return `Load ${number}, ${sayMoment(load.startS)} to ${sayMoment(load.endS)}: ${reached ? 'settled at' : 'not yet settled, heading to'} ${level}`
}

function loadFields({ log, number, load }: DraftLoad): object {
  return {
    log,
    number,
    startS: load.startS,
    endS: load.endS,
    sustainedW: load.sustained.levelW,
    runs: load.runs.length,
  }
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
  holdwatt draft afternoon.csv --out heron.yaml --json`
