import { existsSync } from 'node:fs'

/**
 * Tests that are quick and run much of what lies under a path, by that path: whole rooms' tests cost minutes for each change. The longest
 * path that fits counts, and a file's own test is added. What has no path here is tested by all tests of its room.
 */
const QUICK: Readonly<Record<string, readonly string[]>> = {
  'segment/': [
    'segment/cut/cutRun',
    'segment/givenSpans',
    'segment/loads/findSpans',
    'segment/recordings',
    'segment/rise',
    'segment/shortLoads',
    'segment/stages/fallsUnderHeat',
    'segment/stages/joinRested',
    'segment/unevenLoads',
  ],
  'fit/chassis/': ['fit/chassis/fitThermalNetwork', 'fit/chassis/matchSteadyPower', 'fit/chassis/fitChassis'],
  'fit/chip/': [
    'certified/powerCapSweeps',
    'fit/chip/criticiseCurve',
    'fit/chip/linearPart',
    'fit/chip/profileRun',
    'fit/chip/refineCandidates',
    'fit/chip/runHeat',
  ],
  'fit/rate/': ['fit/rate/findRateLag', 'fit/rate/rateBlocks'],
  'predict/comparison/': [
    'predict/comparison/compareChips',
    'predict/comparison/findCrossovers',
    'predict/comparison/surveyMachines',
  ],
  'predict/gap/': ['predict/gap/explainGap'],
  'predict/overview/': ['predict/comparison/surveyMachines'],
  'predict/plan/': ['predict/plan/planNextTest', 'predict/plan/planRest', 'predict/plan/plannedTest'],
  'predict/projection/': [
    'predict/projection/completeLimits',
    'predict/projection/machineFromChassis',
    'predict/projection/projectScore',
    'predict/projection/runTemperature',
    'predict/projection/targetMachines',
  ],
  'predict/review/': ['predict/review/reviewMachines'],
  'numeric/': [
    'numeric/argsort',
    'numeric/decomposition',
    'numeric/peers',
    'numeric/thin',
    'numeric/triangles',
    'certified/univariate',
  ],
  'numeric/changePoints/': [
    'certified/changePoints',
    'numeric/changePoints/changePenalty',
    'numeric/changePoints/findChangePoints',
    'numeric/changePoints/startRuns',
  ],
  'numeric/leastSquares/': [
    'certified/linear',
    'numeric/leastSquares/fitLeastSquares',
    'numeric/leastSquares/nonNegativeLeastSquares',
    'numeric/leastSquares/profileInterval',
    'numeric/peers',
    'numeric/triangles',
  ],
  'numeric/statistics/': [
    'certified/univariate',
    'numeric/decomposition',
    'numeric/peers',
    'numeric/statistics/correlationTime',
    'numeric/statistics/kroneckerPoint',
    'numeric/statistics/moments',
    'numeric/statistics/noise',
    'numeric/statistics/normalKernels',
    'numeric/statistics/quantile',
    'numeric/statistics/random',
    'numeric/statistics/studentT',
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
