import { existsSync } from 'node:fs'

/** Of a log's segmentation as a whole, what is quick. */
const WHOLE_LOADS = [
  'segment/givenSpans',
  'segment/recordings',
  'segment/rise',
  'segment/shortLoads',
  'segment/unevenLoads',
]

/**
 * Tests that are quick and run much of what lies under a path, by that path, as globs: whole rooms' tests cost minutes for each change. The
 * longest path that fits counts, and a file's own test is added. What has no path here is tested by all tests of its room.
 */
const QUICK: Readonly<Record<string, readonly string[]>> = {
  'segment/': WHOLE_LOADS,
  'segment/cut/': ['segment/cut/*', ...WHOLE_LOADS],
  'segment/loads/': ['segment/loads/*', ...WHOLE_LOADS],
  'segment/settled/': ['segment/settled/*', ...WHOLE_LOADS],
  'segment/stages/': ['segment/stages/*', ...WHOLE_LOADS],
  'fit/chassis/': ['fit/chassis/*'],
  'fit/chip/': [
    'certified/powerCapSweeps',
    'fit/chip/chipWarnings',
    'fit/chip/criticiseCurve',
    'fit/chip/gridProfiles',
    'fit/chip/linearPart',
    'fit/chip/profileRun',
    'fit/chip/refineCandidates',
    'fit/chip/runHeat',
    'fit/chip/toProbabilities',
    'fit/chip/workPerRun',
  ],
  'fit/chip/prior/': ['fit/chip/prior/*'],
  'fit/rate/': ['fit/rate/*'],
  'predict/comparison/': ['predict/comparison/*'],
  'predict/gap/': ['predict/gap/*'],
  'predict/overview/': ['predict/overview/*'],
  'predict/plan/': ['predict/plan/*'],
  'predict/projection/': [
    'predict/projection/caution',
    'predict/projection/completeLimits',
    'predict/projection/drawPairs',
    'predict/projection/machineFromChassis',
    'predict/projection/ownError',
    'predict/projection/projectScore',
    'predict/projection/runTemperature',
    'predict/projection/steadyRun',
    'predict/projection/targetMachines',
    'predict/projection/withSustained',
  ],
  'predict/review/': ['predict/review/reviewMachines'],
  'numeric/': ['numeric/*', 'certified/univariate'],
  'numeric/changePoints/': ['certified/changePoints', 'numeric/changePoints/*'],
  'numeric/leastSquares/': [
    'certified/linear',
    'numeric/leastSquares/*',
    'numeric/peers',
    'numeric/triangles',
  ],
  'numeric/statistics/': [
    'certified/univariate',
    'numeric/decomposition',
    'numeric/peers',
    'numeric/statistics/*',
  ],
}

/** A file's own test, whether there is one or not. @param file - path as seen from src */
export function ownTest(file: string): string {
  return `tests/${file.replace(/\.ts$/, '.test.ts')}`
}

/** The tests that are run against changes of a file, as globs. @param file - path as seen from src */
export function testsFor(file: string): readonly string[] {
  const own = ownTest(file)
  const place = Object.keys(QUICK)
    .filter((start) => file.startsWith(start))
    .sort((a, b) => b.length - a.length)[0]
  const room = file.split('/')[0]
  const near =
    place === undefined
      ? [`tests/${room}/**/*.test.ts`, 'tests/certified/*.test.ts']
      : QUICK[place]!.map((test) => `tests/${test}.test.ts`)
  return [...new Set([...(existsSync(own) ? [own] : []), ...near])]
}
