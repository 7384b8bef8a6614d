import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'fflate'
import { REASON } from '../../src/log/trace.js'
import type { RandomStream } from '../worlds/randomStream.js'
import { makeSession } from '../worlds/session/makeSession.js'
import type { FuzzKind } from './fuzzCase.js'
import { randomLog, randomTable } from './randomTable.js'

/** What a case is made from. */
export interface Base {
  readonly bytes: Uint8Array
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'
}

export function baseOf(kind: FuzzKind, random: RandomStream): Base {
  if (kind === 'log') {
    const { bytes, dialect } = randomLog(random)
    return { bytes, encoding: dialect.encoding === 'utf-8-bom' ? 'utf-8' : dialect.encoding }
  }
  return { bytes: Buffer.from(TEXTS[kind](random)), encoding: 'utf-8' }
}

// Like every script and test, this runs in the project's own folder.
const read = (...path: string[]) => readFileSync(join(...path), 'utf8')
const known = new Map<string, string>()

/** One of a few texts, each made once. */
function kept(name: string, make: () => string): string {
  const text = known.get(name) ?? make()
  known.set(name, text)
  return text
}

const TEXTS: { readonly [kind in Exclude<FuzzKind, 'log'>]: (random: RandomStream) => string } = {
  session: (random) => {
    const seed = random.integer(0, 11)
    return kept(`session ${seed}`, () => sessionText(15_000_000 + seed))
  },
  pairs: (random) => pairsText(random),
  formula: (random) => random.pick(FORMULAS),
  scores: (random) => random.pick(SCORES),
  desk: (random) => deskText(random),
  sheet: (random) => {
    const name = random.pick(['heron', 'heron-compile', 'ibis', 'bittern', 'bittern-noted'])
    return kept(name, () => read('samples', `${name}.yaml`))
  },
  // A dozen draws are as good as hundreds for finding faults, and twenty times as fast.
  chip: (random) => {
    const name = random.pick(['kestrel-16', 'kestrel-16-compile', 'merlin-12'])
    return kept(name, () => fewDraws(read('models', 'chips', `${name}.json`)))
  },
  chassis: (random) => {
    const name = random.pick(['heron-slim', 'bittern-deep', 'ibis-flat'])
    return kept(name, () => read('models', 'chassis', `${name}.json`))
  },
}

function fewDraws(json: string): string {
  const chip = JSON.parse(json) as { draws: { weight: number }[] }
  const draws = chip.draws.filter((_, i) => i % 20 === 0)
  return JSON.stringify(
    { ...chip, draws: draws.map((draw) => ({ ...draw, weight: 1 / draws.length })) },
    null,
    1,
  )
}

/** A session with every column that is evidence; every third sample, as most changes are to each row. */
function sessionText(seed: number): string {
  const { trace } = makeSession(seed)
  const cell = (values: ArrayLike<number> | null | undefined, i: number) =>
    values == null || Number.isNaN(values[i]) ? '' : String(Number(values[i]!.toPrecision(6)))
  const rows = Array.from({ length: Math.floor(trace.timesS.length / 3) }, (_, k) => {
    const i = 3 * k
    const reason = trace.reasons == null ? '' : (REASON_WORDS.get(trace.reasons[i]!) ?? 'none')
    const { timesS, powerW, temperatureC, clockHz, limitW, usePct } = trace
    return [
      ...[timesS, powerW, temperatureC, clockHz, limitW, usePct].map((values) => cell(values, i)),
      reason,
    ]
  })
  return [
    'time_s,Package power [W],chip temperature [°C],clock [Hz],power limit [W],use [%],throttle reason',
    ...rows.map((row) => row.join(',')),
  ].join('\n')
}

const REASON_WORDS = new Map<number, string>([
  [REASON.powerLimit, 'power limit'],
  [REASON.heat, 'heat'],
  [REASON.idle, 'idle'],
])

/** Lines of name and value without a header. */
function pairsText(random: RandomStream): string {
  const { timesS, powerW, temperatureC } = randomTable(random)
  const mark = random.pick([',', ';', '\t'])
  const clock = random.chance(0.5)
  return timesS
    .map((t, i) => {
      const time = clock ? new Date(1000 * t).toISOString().slice(11, 23) : String(t)
      const volts = (230 + random.normal()).toFixed(1)
      return [
        'Time',
        time,
        'Watts',
        powerW[i]!.toFixed(2),
        'Volts',
        volts,
        'temp',
        String(temperatureC?.[i] ?? 40),
      ].join(mark)
    })
    .join('\n')
}

/** Over the columns of `FORMULA_LOG`. */
const FORMULAS = [
  'volts * amps',
  'wall * 0.88 - 6 W',
  'cpu + gpu',
  '"Package power [W]" + gpu',
  'max(cpu, gpu) - min(cpu, gpu) / 2',
  'sqrt(abs(wall^2))',
  '(cpu + gpu) * 2 / (1 + 1)',
  'power.chip',
  '-cpu + 2 * wall',
]

/** A log with something for every formula. */
export const FORMULA_LOG = [
  'time_s,wall [W],volts [V],amps [A],cpu [W],gpu [mW],Package power [W],power.chip',
  ...Array.from({ length: 120 }, (_, i) => {
    const powerW = i < 10 ? 5 : i < 40 ? 64 : 45
    return [i, powerW + 12, 19.5, (powerW / 19.5).toFixed(3), powerW - 2, 2000, powerW, powerW].join(',')
  }),
].join('\n')

const SCORES = [
  'start,end,score,load,log,workload\n12 s,71 s,15210,1,heron-loop.csv,tiles\n00:01:30,00:02:20,15010,1,heron-loop.csv,tiles\n',
  'run\tpoints\n1\t15210\n2\t15010\n3\t14950\n4\t14 900\n',
  'score\n2:05.5\n2:06\n126 s\n',
  'time;frames\n2026-03-01 14:02:10;812.5\n2026-03-01 14:03:10;801,5\n',
  'run,time [s],tiles\n1,62.1,1000\n2,63.4,1000\n',
]

function deskText(random: RandomStream): string {
  const name = random.pick(['heron', 'ibis', 'bittern-noted'])
  const bytes = gzipSync(randomLog(random).bytes, { mtime: 0 })
  const desk = {
    logs: [
      {
        id: 'l1',
        name: 'loop.csv',
        options: random.pick([
          {},
          { power: 'W', everyS: 1 },
          { load: 2, from: { elapsedS: 3, ofDayS: null, epochS: null, text: '3 s' } },
        ]),
      },
    ],
    sheets: [{ id: 's1', file: `${name}.yaml`, text: kept(name, () => read('samples', `${name}.yaml`)) }],
  }
  const files = { l1: Buffer.from(bytes).toString('base64') }
  return `${JSON.stringify({ format: 'holdwatt-desk', version: 1, desk, files })}\n`
}
