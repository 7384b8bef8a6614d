import { InputError } from '../errors.js'
import { type ReadOptions, readLog } from '../files/readLog.js'
import { type ReadStages, stagesOfLog } from './stagesOfLog.js'

/**
 * Reads a log and finds its loads with their stages: the library's side of `holdwatt stages`.
 *
 * @param path - the log; or a test sheet of one log, which is then read as the sheet says
 * @param options - column choices, where the log leaves a doubt; which part of it, which load
 * @throws InputError when the file can't be read as a log, or has no such load; `sheet-not-one-log`
 */
export async function readStages(path: string, options: ReadOptions = {}): Promise<ReadStages> {
  if (/\.ya?ml$/i.test(path)) return stagesOfSheet(path)
  return stagesOfLog(await readLog(path, options), { file: path, load: options.load, loads: options.loads })
}

async function stagesOfSheet(file: string): Promise<ReadStages> {
  // A log alone needs no YAML: its parser is loaded for sheets only.
  const [{ readSheet }, { readTrialLog }] = await Promise.all([
    import('../sheet/readSheet.js'),
    import('./readTestedMachine.js'),
  ])
  const sheet = await readSheet(file)
  const logged = sheet.trials.filter((trial) => trial.kind === 'logged')
  const trial = logged[0]
  if (trial === undefined || logged.length > 1) {
    throw new InputError('sheet-not-one-log', `expected a sheet with one log, got ${logged.length}`, {
      where: { file },
      remedy: 'name one of its logs',
    })
  }
  const { path, log } = await readTrialLog(sheet, trial)
  return stagesOfLog(log, { file: path, load: trial.load ?? undefined, loads: trial.options.loads })
}
