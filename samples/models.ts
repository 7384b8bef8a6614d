import { spawnSync } from 'node:child_process'
import { mkdirSync } from 'node:fs'

// `npm run models`: writes models/ again from the samples, by the built command itself.

/** Sheets, and the names of the models that they give. */
const MODELS: readonly {
  readonly sheets: readonly string[]
  readonly chip?: string
  readonly chassis?: string
}[] = [
  { sheets: ['heron', 'bittern'], chip: 'kestrel-16', chassis: 'heron-slim' },
  { sheets: ['bittern'], chassis: 'bittern-deep' },
  { sheets: ['ibis'], chip: 'merlin-12', chassis: 'ibis-flat' },
  { sheets: ['heron-compile', 'bittern-compile'], chip: 'kestrel-16-compile' },
  { sheets: ['ibis-compile'], chip: 'merlin-12-compile' },
]

for (const folder of ['models/chips', 'models/chassis']) mkdirSync(folder, { recursive: true })
for (const { sheets, chip, chassis } of MODELS) {
  const paths = sheets.map((sheet) => `samples/${sheet}.yaml`)
  const out = [
    ...(chip === undefined ? [] : ['--chip', `models/chips/${chip}.json`]),
    ...(chassis === undefined ? [] : ['--chassis', `models/chassis/${chassis}.json`]),
  ]
  const { status } = spawnSync(process.execPath, ['dist/cli/main.cjs', 'fit', ...paths, ...out, '--json'], {
    stdio: ['ignore', 'ignore', 'inherit'],
  })
  if (status !== 0) process.exit(status ?? 1)
}
