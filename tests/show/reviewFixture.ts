import type { ReviewChartData } from '../../src/show/charts/chartReviewLayout.js'
import { about } from './chartFixture.js'

/** Two invented machines in five workloads: ahead, behind, not sure, far out at equal power, and without power. */
export function reviewedPair(): ReviewChartData {
  const row = (name: string, tested: number, equal: readonly [number, number] | null) => ({
    name,
    asTested: about(tested, 0.6),
    atEqualPower: equal && about(...equal),
    isMean: false,
  })
  return {
    name: 'review-mains-heron-14-ibis-15',
    title: 'Mains: Heron 14 is 4.0 % slower than Ibis 15; at equal power 4 % slower',
    first: 'Heron 14',
    second: 'Ibis 15',
    positions: [0, 1],
    rows: [
      row('mosaic render, all threads', -21.8, [-10, 1]),
      row('tally, one thread', 3.8, [2, 7]),
      row('page garden', 4.2, [-1, 90]),
      row('film encode', -18.8, [-8.9, 1.2]),
      row('nest copy', 9, null),
      { ...row('Geometric mean of 5', -5.4, [-4.6, 2]), isMean: true, secondName: 'of 4 at equal power' },
    ],
    table: {
      columns: ['workload', 'as tested'],
      rows: [['mosaic render, all threads', '−21.8 (−22.4 to −21.2)']],
    },
  }
}
