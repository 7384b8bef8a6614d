/** A caller in TypeScript: what a program takes from the library, and an answer of all of it. The built package runs it, the installed one's types compile it. */
export const strictCaller = `
import {
  checkFiles, compareChips, explainGap, findChangePoints, findLoads, fitLeastSquares, fitMachine, fitReview, gapMachine,
  InputError, parseLog, parseReview, planTest, projectScore, readReview, readSheet, readStages, reviewMachines,
  type Load, type Review, type ReviewedMachine, type ReviewResult, type ReviewSheet, type Trace,
} from 'holdwatt'

const rows = Array.from({ length: 200 }, (_, i) => i + ',' + (i < 20 ? 5 : i < 60 ? 90 : 45))
const trace: Trace = parseLog('time_s,power_w\\n' + rows.join('\\n')).trace
const loads: readonly Load[] = findLoads(trace)
const { edges }: { readonly edges: readonly number[] } = findChangePoints(Float64Array.from({ length: 60 }, (_, i) => (i < 30 ? 1 : 5) + 0.1 * Math.sin(i * i)))
const line = fitLeastSquares({ residuals: ([a = 0, b = 0]) => [1, 2, 3, 4].map((x) => a + b * x - (3 + 2 * x)), start: [0, 0] })
const heron = await fitMachine(await readSheet('samples/bittern-noted.yaml'))
const projection = projectScore({ chip: heron.chip, target: { sustainedW: 60 }, loop: { runs: 5, gapS: 0 } })
const written: ReviewSheet = parseReview('machine: Wren 13\\nchip: Wrentit\\nchassis: Wren\\nworkload: { name: tile render, score: points, better: higher }\\ntrials: [ { noted: [ { power: 30 W } ], runs: [ { score: 9000 }, { score: 9040 } ] } ]', 'wren.yaml')
const machines: readonly ReviewedMachine[] = fitReview([await readReview('samples/bittern-noted.yaml')])
const review: Review = reviewMachines(machines, { atW: 60 })
const reviewed: ReviewResult | undefined = review.results[0]
const score: number = projection.steady.score.value
let code = ''
try { parseLog('nothing') } catch (error) { if (error instanceof InputError) code = error.code }
export const answer = {
  loads: loads.length, edges, slope: line.parameters[1], converged: line.converged, code,
  score, level: projection.steady.score.level,
  written: written.tests.length, reviewedAtW: reviewed?.atW, ahead: reviewed?.machines[0]?.atEqualPower?.score.value,
  functions: [checkFiles, compareChips, explainGap, gapMachine, planTest, readStages].map((f) => typeof f),
}
`
