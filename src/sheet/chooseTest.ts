import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'
import { type ReviewSheet, type SheetTest, testLabel } from './reviewSheet.js'
import type { TestSheet } from './testSheet.js'

/**
 * One workload of a sheet, by one metric: the only one, or the one that is asked for. Without a mode its trials of all modes are
 * taken: they measure the chip at more powers.
 *
 * @param asked - a workload, `workload, metric`, or either with ` @ mode` behind it; parts of words do where they leave no doubt
 * @throws InputError `sheet-of-several`, `sheet-without-power`, `sheet-test-unknown`
 */
export function chooseTest(read: TestSheet | ReviewSheet, asked?: string): TestSheet {
  if ('tests' in read) return choose(read, asked)
  if (asked === undefined) return read
  const [name, mode] = partsOf(asked)
  const isNamed = read.workload.name.toLowerCase().includes(name)
  const trials = read.trials.filter((trial) => mode === undefined || isMode(trial.mode, mode))
  if (isNamed && trials.length > 0) return { ...read, trials }
  throw unknownTest(
    read.file,
    asked,
    read.trials.map(({ mode: of }) => `${read.workload.name}${of === null ? '' : ` @ ${of}`}`),
  )
}

function choose({ file, tests }: ReviewSheet, asked: string | undefined): TestSheet {
  const [name, mode] = partsOf(asked ?? '')
  const inMode = tests.filter((test) => mode === undefined || isMode(test.mode, mode))
  const names = [...new Set(inMode.map(nameOf))]
  const exact = names.filter((each) => each.toLowerCase() === name)
  const of = exact.length === 1 ? exact : names.filter((each) => each.toLowerCase().includes(name))
  const chosen = inMode.filter((test) => nameOf(test) === of[0])
  if (of.length === 1 && chosen.some(({ sheet }) => sheet.trials.length > 0)) return joined(chosen)
  const labels = [...new Set(tests.map(testLabel))]
  if (asked !== undefined) throw unknownTest(file, asked, labels)
  const powered = tests.find(({ sheet }) => sheet.trials.length > 0)
  if (powered === undefined) throw withoutPower(file)
  throw new InputError('sheet-of-several', `this sheet holds ${labels.length} tests, and one was wanted`, {
    where: { file },
    remedy: `name one behind the sheet, as in "${file}#${plainText(testLabel(powered))}", or see all with: holdwatt review`,
  })
}

function withoutPower(file: string): InputError {
  return new InputError(
    'sheet-without-power',
    'expected a test with a log or noted levels, got scores alone',
    {
      where: { file },
      remedy: 'give a trial its `log`, or see the scores as tested with: holdwatt review',
    },
  )
}

function joined(chosen: readonly SheetTest[]): TestSheet {
  const [first] = chosen
  return { ...first!.sheet, trials: chosen.flatMap(({ sheet }) => sheet.trials) }
}

function nameOf(test: SheetTest): string {
  return testLabel({ ...test, mode: null })
}

function partsOf(asked: string): readonly [name: string, mode: string | undefined] {
  const at = asked.lastIndexOf('@')
  const clean = (text: string) => text.trim().toLowerCase()
  return at < 0 ? [clean(asked), undefined] : [clean(asked.slice(0, at)), clean(asked.slice(at + 1))]
}

function isMode(mode: string | null, asked: string): boolean {
  return (mode ?? '').toLowerCase() === asked
}

const MOST_LISTED = 12

function unknownTest(file: string, asked: string, labels: readonly string[]): InputError {
  const listed = [...new Set(labels)].slice(0, MOST_LISTED).map((label) => `\`${plainText(label)}\``)
  return new InputError(
    'sheet-test-unknown',
    `expected the name of one test with known power behind #, got \`${plainText(asked)}\``,
    { where: { file }, remedy: `known here: ${listed.join(', ')}` },
  )
}
