import type { Estimate } from '../../src/numeric/statistics/estimate.js'
import type { Load, Stage } from '../../src/segment/load.js'
import type { EqualPowerChartData } from '../../src/show/charts/chartEqualPower.js'
import type { GapChartData } from '../../src/show/charts/chartGap.js'
import type { ScoreCurveChartData } from '../../src/show/charts/chartScoreCurve.js'
import type { SweepChartData } from '../../src/show/charts/chartSweep.js'
import type { TraceChartData } from '../../src/show/charts/trace/chartTraceData.js'

/** An estimate with a symmetric interval. */
export function about(value: number, half: number): Estimate {
  return { value, low: value - half, high: value + half, level: 0.9 }
}

/**
 * Half an hour of an invented laptop held by heat: 21 s of burst, a decay, then a level, in runs of 60 s with pauses
 * of 3 s. Noise from a fixed linear congruential sequence, so that pictures can be compared.
 */
export function heronTrace(): TraceChartData {
  const noise = fixedNoise(7)
  const samples = Array.from({ length: 1801 }, (_, index) => index)
  const powerW = samples.map((second) => {
    if (second < 12 || second > 1790) return 6 + noise()
    const into = second - 12
    if (into % 63 >= 60) return 11 + noise()
    if (into < 21) return 104 + 2 * noise()
    return 44 + 42 * Math.exp(-(into - 21) / 70) + 1.5 * noise()
  })
  const temperatureC = samples.map((second) =>
    second < 12
      ? 42 + 0.4 * noise()
      : Math.min(95, 42 + 60 * (1 - Math.exp(-(second - 12) / 14))) + 0.4 * noise(),
  )
  const runs = Array.from({ length: 28 }, (_, run) => ({ startS: 12 + 63 * run, endS: 72 + 63 * run }))
  const scores = [17210, 15930, 15420, 15190]
  return {
    name: 'heron-14-trace',
    machine: 'Heron 14',
    title: 'Heron 14 bursts to 104 W, but heat lets it hold only 44 W.',
    trace: {
      timesS: Float64Array.from(samples),
      powerW: Float64Array.from(powerW),
      temperatureC: Float64Array.from(temperatureC),
    },
    loads: [heronLoad()],
    scoredRuns: runs.map((run, index) => ({
      ...run,
      score: (scores[index] ?? 15010) + Math.round(60 * noise()),
    })),
    scoreUnit: 'points',
    ceilingC: 95,
  }
}

function heronLoad(): Load {
  const heat = { label: 'heat', evidence: ['temperature flat at 95 °C while power falls'] } as const
  const stages: Stage[] = [
    {
      label: 'burst',
      shape: 'level',
      startS: 12,
      endS: 33,
      startInterval: null,
      levelW: about(104.2, 0.6),
      decay: null,
      heldBy: { label: 'power-limit', evidence: ['an abrupt step at 82 °C'] },
    },
    {
      label: 'short-term',
      shape: 'decay',
      startS: 33,
      endS: 330,
      startInterval: about(33, 1),
      levelW: about(53.6, 0.4),
      decay: { fromW: 86, towardW: about(44.1, 0.5), tauS: about(70, 6) },
      heldBy: heat,
    },
    {
      label: 'sustained',
      shape: 'level',
      startS: 330,
      endS: 1790,
      startInterval: about(330, 15),
      levelW: about(44.1, 0.2),
      decay: null,
      heldBy: heat,
    },
  ]
  return {
    startS: 12,
    endS: 1790,
    stages,
    sustained: {
      reached: true,
      levelW: about(44.1, 0.2),
      fromS: 330,
      settleAfterS: about(300, 20),
      bounds: null,
    },
    runs: [],
    noiseW: 0.8,
    autocorrelation: 0.1,
    spikesAtS: [],
    showsInstants: false,
  }
}

/** Numbers between -1 and 1 from a linear congruential generator (Numerical Recipes' constants). */
export function fixedNoise(seed: number): () => number {
  let state = seed
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 31 - 1
  }
}

/** A score curve of the fixture: power law 2900 P^0.43 with a band that widens outside what was measured. */
export function heronCurve(): ScoreCurveChartData {
  const noise = fixedNoise(3)
  return {
    name: 'heron-14-score-curve',
    machine: 'Heron 14',
    chip: 'Kestrel 16',
    title: 'A tenth more power buys Kestrel 16 about 4 % more score.',
    position: 0,
    scoreUnit: 'points',
    lowerIsBetter: false,
    measuredRangeW: [43.6, 68],
    curve: powerLaw(2900, 0.43, [43.6, 68]),
    runs: [68, 55, 48, 45.2, 44.3, 44.1, 44, 44.2, 44.1].map((meanW) => ({
      meanW,
      score: 2900 * meanW ** 0.43 * (1 + 0.006 * noise()),
    })),
    sustainedW: about(44.1, 0.2),
    referenceC: null,
  }
}

/** Two chips at equal power that cross at about 62 W. */
export function equalPower(): EqualPowerChartData {
  return {
    name: 'equal-power',
    title: 'Kestrel 16 is ahead below 62 W, Merlin 12 above.',
    scoreUnit: 'points',
    lowerIsBetter: false,
    chips: [
      {
        chip: 'Kestrel 16',
        machines: [{ machine: 'Heron 14', sustainedW: 44.1 }],
        position: 0,
        curve: powerLaw(2900, 0.43, [43.6, 68]),
        measuredRangeW: [43.6, 68],
      },
      {
        chip: 'Merlin 12',
        machines: [{ machine: 'Osprey 15', sustainedW: 71 }],
        position: 1,
        curve: powerLaw(2210, 0.496, [60, 90]),
        measuredRangeW: [60, 90],
      },
    ],
    lead: powerLaw(2900 / 2210, 0.43 - 0.496, [60, 68]).map(({ powerW, score }) => ({
      powerW,
      percent: about(100 * (score.value - 1), 100 * (score.high - score.value)),
    })),
    crossovers: [{ between: ['Kestrel 16', 'Merlin 12'], powerW: about(61.6, 4.2) }],
  }
}

/** A gap of three parts. */
export function gap(): GapChartData {
  return {
    name: 'gap',
    title: 'Heron 14 scores 18 % less than Osprey 15: its chassis, not its chip.',
    first: 'Heron 14',
    second: 'Osprey 15',
    lowerIsBetter: false,
    positions: [0, 1],
    total: about(-18.2, 1.4),
    parts: [
      { name: 'chip at equal power', percent: about(2.1, 1.9) },
      { name: 'sustained power', percent: about(-19.3, 1.6) },
      { name: 'burst and recovery', percent: about(-0.7, 0.5) },
    ],
  }
}

function powerLaw(scale: number, exponent: number, measured: readonly [number, number]) {
  const powers = [...Array.from({ length: 41 }, (_, index) => 30 + 1.75 * index), ...measured]
  return powers
    .sort((a, b) => a - b)
    .map((powerW) => {
      const outside = Math.max(0, Math.log(measured[0] / powerW), Math.log(powerW / measured[1]))
      const score = scale * powerW ** exponent
      return { powerW, score: about(score, score * (0.006 + 0.11 * outside)) }
    })
}

/** The chip of `heronCurve` in chassis from 30 to 90 W, bursting as tested. */
export function heronSweep(): SweepChartData {
  const steady = powerLaw(2900, 0.43, [43.6, 68]).filter((point) => point.powerW <= 90)
  return {
    name: 'heron-14-sweep',
    title: 'Kestrel 16 would gain 18 % in a chassis that holds 65 W.',
    machine: 'Heron 14',
    chip: 'Kestrel 16',
    position: 0,
    scoreUnit: 'points',
    lowerIsBetter: false,
    measuredRangeW: [43.6, 68],
    testedSustainedW: 44.1,
    sweep: steady.map(({ powerW, score }) => ({
      sustainedW: powerW,
      first: about(0.75 * score.value + 0.25 * 20900, 120),
      steady: score,
    })),
  }
}
