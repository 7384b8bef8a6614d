import type { SurveyedMachine, WorkloadSurvey } from '../../src/predict/comparison/surveyMachines.js'
import { about } from './chartFixture.js'

/** Five invented machines with two chips: one not settled, one noted by hand, one in a quiet mode. */
export function survey(): WorkloadSurvey {
  const score = about(11_320, 120)
  const machine = (name: string, heldW: number, parts: Partial<SurveyedMachine>): SurveyedMachine => ({
    sheet: `${name}.yaml`,
    machine: name,
    chip: 'Kestrel 16',
    chassis: `${name} case`,
    mode: null,
    sustainedW: about(heldW, 0.3),
    heldBy: 'power-limit',
    reached: true,
    settleAfterS: about(130, 4),
    steadyScore: about(11_020, 40),
    score,
    warnings: [],
    ...parts,
  })
  return {
    workload: { name: 'mosaic render, all threads', score: 'points', better: 'higher' },
    atW: 45,
    chips: [
      {
        chip: 'Merlin 12',
        machines: 1,
        measuredRangeW: [58, 90],
        score: about(11_900, 310),
        perWatt: about(264, 7),
        extrapolated: true,
      },
      {
        chip: 'Kestrel 16',
        machines: 4,
        measuredRangeW: [42, 95],
        score,
        perWatt: about(252, 3),
        extrapolated: false,
      },
    ],
    machines: [
      machine('Bittern 17', 71, {
        sustainedW: about(71, 4),
        heldBy: null,
        reached: null,
        settleAfterS: null,
        steadyScore: null,
      }),
      machine('Ibis 15', 58.2, {
        chip: 'Merlin 12',
        heldBy: 'heat',
        sustainedW: about(58.2, 0.8),
        score: about(11_900, 310),
      }),
      machine('Whimbrel 13', 52, {
        sustainedW: about(52, 3),
        reached: false,
        settleAfterS: null,
        heldBy: 'undetermined',
      }),
      machine('Heron 14', 44.21, { sustainedW: about(44.21, 0.04) }),
      machine('Heron 14', 28.4, { mode: 'quiet', heldBy: 'demand' }),
    ],
  }
}
