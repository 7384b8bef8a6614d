import * as z from 'zod'
import type { Chassis } from '../curves/chassis.js'
import type { Chip } from '../curves/chip.js'
import type { ScoreCurve } from '../curves/scoreCurve.js'
import type { Estimate } from '../numeric/estimate.js'

// The JSON models as they are checked on reading; each schema is held to the type it stands for. Fields that are not
// known here are kept as they are, so that what an older or newer program of the same version wrote is never lost.

const finite = z.number()
const power = z.number().positive()
const text = z
  .string()
  .trim()
  .min(1)
  .max(200)
  .regex(/^\P{Cc}*$/u, 'holds control characters')

const estimate: z.ZodType<Estimate> = z
  .looseObject({ value: finite, low: finite, high: finite, level: z.number().gt(0).lt(1) })
  .refine((e) => e.low <= e.value && e.value <= e.high, 'low <= value <= high was needed')

const bend = z
  .looseObject({
    tilt: finite,
    stepLn: z.number().positive(),
    above: z.array(finite).max(100),
    below: z.array(finite).max(100),
  })
  .nullable()

const givesWay = z.enum(['headroom', 'latch'])

const anchored = { scale: power, referenceW: power, topW: power.nullable(), bend }

const curve = z.discriminatedUnion('shape', [
  z.looseObject({ shape: z.literal('power-law'), scale: power, exponent: finite }),
  z.looseObject({ shape: z.literal('offset-power-law'), ...anchored, fixedW: finite, exponent: finite }),
  z.looseObject({
    shape: z.literal('log-quadratic'),
    ...anchored,
    slope: finite,
    curvature: z.number().max(0),
  }),
  z.looseObject({
    shape: z.literal('voltage-floor'),
    ...anchored,
    fixedW: finite,
    leakageW: finite,
    dynamicW: power,
    linear: finite,
    quadratic: finite,
    voltageClock: power,
    floorVoltage: z.number().nonnegative(),
    memoryShare: z.number().min(0).max(1),
    overlap: power,
  }),
]) satisfies z.ZodType<ScoreCurve>

const workload = z.looseObject({ name: text, score: text, better: z.enum(['higher', 'lower']) })

/** A chip model: the posterior over its score curves. */
export const chipSchema = z.looseObject({
  name: text,
  workload,
  measuredRangeW: z
    .tuple([power, power])
    .refine(([low, high]) => low <= high, 'lowest, then highest power was needed'),
  draws: z
    .array(z.looseObject({ weight: z.number().nonnegative(), curve, heatPerK: finite.optional() }))
    .min(1)
    .max(100_000)
    .refine(
      (draws) => Math.abs(draws.reduce((sum, draw) => sum + draw.weight, 0) - 1) < 1e-6,
      'weights must add up to 1',
    ),
  demandW: power.nullable(),
  workPerRun: estimate.nullable(),
  referenceC: finite.optional(),
}) satisfies z.ZodType<Chip>

/** A chassis model: which watts are allowed, and for how long. */
export const chassisSchema = z.looseObject({
  name: text,
  idleW: z.number().nonnegative(),
  burstW: estimate,
  burstHoldS: estimate.nullable(),
  shortTermW: estimate.nullable(),
  shortTermHoldS: estimate.nullable(),
  sustainedW: estimate,
  budgets: z
    .array(
      z.looseObject({
        limitW: estimate,
        tauS: estimate,
        givesWay: givesWay.exactOptional(),
      }),
    )
    .max(20),
  thermal: z
    .looseObject({
      resistanceKPerW: estimate,
      stages: z.array(z.looseObject({ rKPerW: z.number().nonnegative(), tauS: power })).max(50),
      ceilingC: finite.nullable(),
      ambientC: finite,
      zeroPowerC: finite.exactOptional(),
    })
    .nullable(),
  timedSteps: z.array(z.looseObject({ limitW: estimate, afterS: estimate })).max(20),
  responseS: z.number().nonnegative().exactOptional(),
  givesWay: givesWay.exactOptional(),
  heatBudget: z
    .looseObject({
      limitW: estimate,
      terms: z.array(z.looseObject({ share: z.number().nonnegative(), tauS: power })).max(50),
    })
    .nullable()
    .exactOptional(),
  heatControl: z
    .strictObject({
      wPerK: z.number().nonnegative(),
      wPerKS: z.number().nonnegative(),
      restsInPauses: z.boolean().exactOptional(),
    })
    .nullable()
    .exactOptional(),
}) satisfies z.ZodType<Chassis>
