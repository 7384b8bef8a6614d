import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import pc from 'picocolors'
import { processContext } from '../src/cli/processContext.js'
import { readVersion } from '../src/cli/readVersion.js'
import { runCommandLine } from '../src/cli/runCommandLine.js'

// `npm run demo`, or `node node_modules/holdwatt/dist/demo.js` where the package is installed: the story of the sample machines, from log to
// conclusion, told by the commands one after the other in one process.

/** The folder that the samples are in: this one in the project, the package's own where it is installed (this is `dist/cli/demo.cjs` there). */
const FOLDER = existsSync('samples/heron.yaml') ? '.' : fileURLToPath(new URL('../..', import.meta.url))

/** What is said, then what is run. */
const STORY: readonly (readonly [comment: string, args: readonly string[]])[] = [
  [
    'Heron 14 is thin. A render looped on it for half an hour while a logger wrote the package power. What did it do?',
    ['stages', 'samples/heron-loop.csv'],
  ],
  [
    'With the scores of the runs, what does its chip make of a watt, and which watts does its chassis hold?',
    ['fit', 'samples/heron.yaml'],
  ],
  [
    'The same chip in a thicker chassis that holds 71 W: what would it score? (Nobody has tested that machine yet.)',
    [
      'project',
      'samples/heron.yaml',
      ...[
        '--sustained',
        '71W',
        '--burst',
        '104W',
        '--burst-for',
        '19s',
        '--short-term',
        '86W',
        '--short-term-for',
        '80s',
      ],
    ],
  ],
  [
    'Somebody has: Bittern 17 holds 71 W, with the same chip. Put the Heron’s chip into the Bittern as it was measured, then look at ' +
      'what the Bittern really scored: first run about 16 400, then about 14 300.',
    ['project', 'samples/heron.yaml', '--chassis', 'samples/bittern.yaml'],
  ],
  [
    'Ibis 15 has a rival chip. At the watts that each machine holds, the comparison says more about chassis than chips; at equal power:',
    ['compare', 'samples/bittern.yaml', 'samples/ibis.yaml'],
  ],
  ['Why does the Heron score less than the Ibis?', ['explain', 'samples/heron.yaml', 'samples/ibis.yaml']],
  ['How long should the next test of the Ibis run?', ['plan', 'samples/ibis.yaml']],
  [
    'A whole review: six workloads, on mains and on battery, against the generation before. What to write about it? ' +
      '(`holdwatt page samples/review/*.yaml --out review.html` writes it as a page to publish.)',
    ['review', 'samples/review/heron-14.yaml', 'samples/review/heron-12.yaml'],
  ],
  [
    'And was it all fair? The audit, before anybody publishes.',
    ['check', 'samples/heron.yaml', 'samples/bittern.yaml', 'samples/ibis.yaml'],
  ],
]

async function tellStory(): Promise<void> {
  const version = readVersion(import.meta.url)
  process.chdir(FOLDER)
  process.stdout.write(
    'The machines, chips and scores below are invented; samples/README.md says how they were made.\n',
  )
  for (const [comment, words] of STORY) {
    process.stdout.write(`\n${pc.dim(comment)}\n${pc.bold(`$ holdwatt ${words.join(' ')}`)}\n\n`)
    const status = await runCommandLine(words, processContext(version))
    // 3: the check found something unsafe, which is an answer
    if (status !== 0 && status !== 3) {
      process.exitCode = status
      return
    }
  }
}

void tellStory()
