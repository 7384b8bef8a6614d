import * as z from 'zod'
import type { Estimate } from '../numeric/statistics/estimate.js'
import type { Chip } from '../physics/chip/chip.js'
import { rateAt, type ScoreCurve } from '../physics/chip/scoreCurve.js'
import type { Chassis } from '../physics/loop/chassis.js'

// The JSON models as they are checked on reading; each schema is held to the type it stands for. Fields that are not
// known here are kept as they are, so that what an older or newer program of the same version wrote is never lost.

// Ranges are far wider than anything that is built, and narrow enough that no product of a few figures overflows.
const finite = z.number().min(-1e12).max(1e12)
const power = z.number().min(1e-3).max(1e6)
const scale = z.number().min(1e-15).max(1e15)
const timeS = z.number().min(1e-6).max(1e9)
const exponent = z.number().min(-20).max(20)
const temperatureC = z.number().min(-273.15).max(5000)
const perKelvin = z.number().min(0).max(1e6)
const count = z.number().min(0).max(1e12)
/** Heat of a chip and its cooler is told by three to six stages (common practice, no source); thirty make one projection take seconds. */
const MOST_STAGES = 12
const text = z
  .string()
  .trim()
  .min(1)
  .max(200)
  .regex(/^\P{Cc}*$/u, 'holds control characters')

/** An estimate whose value and upper end lie in a range; its lower end may be anything below. */
function estimateOf(range: z.ZodType<number>): z.ZodType<Estimate> {
  return z
    .looseObject({ value: range, low: finite, high: range, level: z.number().gt(0).lt(1) })
    .refine((e) => e.low <= e.value && e.value <= e.high, 'expected low <= value <= high')
}

const bend = z
  .looseObject({
    tilt: exponent,
    stepLn: z.number().min(1e-3).max(100),
    above: z.array(exponent).max(100),
    below: z.array(exponent).max(100),
  })
  .nullable()

const givesWay = z.enum(['headroom', 'latch'])

const anchored = { scale, referenceW: power, topW: power.nullable(), bend }

const curve = z.discriminatedUnion('shape', [
  z.looseObject({ shape: z.literal('power-law'), scale, exponent }),
  z.looseObject({ shape: z.literal('offset-power-law'), ...anchored, fixedW: finite, exponent }),
  z.looseObject({
    shape: z.literal('log-quadratic'),
    ...anchored,
    slope: exponent,
    curvature: z.number().min(-1e3).max(0),
  }),
  z.looseObject({
    shape: z.literal('broken-power-law'),
    ...anchored,
    steep: exponent,
    gentle: exponent,
    sharpness: z.number().min(1e-6).max(1e3),
    breakW: power,
  }),
  z.looseObject({
    shape: z.literal('elasticity-course'),
    ...anchored,
    knotsLn: z.array(finite).min(2).max(1e3),
    elasticities: z.array(exponent).min(2).max(1e3),
  }),
  z.looseObject({
    shape: z.literal('voltage-floor'),
    ...anchored,
    fixedW: finite,
    leakageW: finite,
    dynamicW: power,
    linear: exponent,
    quadratic: exponent,
    voltageClock: power,
    floorVoltage: z.number().min(0).max(1e3),
    memoryShare: z.number().min(0).max(1),
    overlap: z.number().min(1e-3).max(1e3),
  }),
]) satisfies z.ZodType<ScoreCurve>

const workload = z.looseObject({ name: text, score: text, better: z.enum(['higher', 'lower']) })

/** A chip model: the posterior over its score curves. */
export const chipSchema = z
  .looseObject({
    name: text,
    workload,
    measuredRangeW: z
      .tuple([power, power])
      .refine(([low, high]) => low <= high, 'expected lowest, then highest power'),
    draws: z
      .array(
        z.looseObject({
          weight: z.number().nonnegative(),
          curve,
          heatPerK: z.number().min(-1).max(1).optional(),
        }),
      )
      .min(1)
      .max(100_000)
      .refine(
        (draws) => Math.abs(draws.reduce((sum, draw) => sum + draw.weight, 0) - 1) < 1e-6,
        'weights must add up to 1',
      ),
    demandW: power.nullable(),
    workPerRun: estimateOf(count.positive()).nullable(),
    referenceC: temperatureC.optional(),
  })
  .refine(
    ({ draws, measuredRangeW: [low, high] }) => draws.every((draw) => risesOver(draw.curve, low, high)),
    {
      path: ['draws'],
      message: 'expected a curve with a score above zero that never falls over the measured range',
    },
  ) satisfies z.ZodType<Chip>

/** What every curve promises (`rateAt`); figures that are sound one by one may still break it together. */
function risesOver(curve: ScoreCurve, lowW: number, highW: number): boolean {
  const [first, middle, last] = [lowW, Math.sqrt(lowW * highW), highW].map((powerW) => rateAt(curve, powerW))
  const falls = middle! < first! * (1 - ROUNDING) || last! < middle! * (1 - ROUNDING)
  return first! > 0 && !falls && last! < 1e300
}

/** Where a curve is flat, two of its rates differ by rounding, and by what `clockAtPower` leaves: less than this share. */
const ROUNDING = 1e-6

/** A chassis model: which watts are allowed, and for how long. */
export const chassisSchema = z
  .looseObject({
    name: text,
    idleW: z.number().min(0).max(1e6),
    burstW: estimateOf(power),
    burstHoldS: estimateOf(timeS).nullable(),
    shortTermW: estimateOf(power).nullable(),
    shortTermHoldS: estimateOf(timeS).nullable(),
    sustainedW: estimateOf(power),
    budgets: z
      .array(
        z.looseObject({
          limitW: estimateOf(power),
          tauS: estimateOf(timeS),
          recoveryS: estimateOf(timeS).exactOptional(),
          givesWay: givesWay.exactOptional(),
        }),
      )
      .max(20),
    thermal: z
      .looseObject({
        resistanceKPerW: estimateOf(perKelvin),
        stages: z.array(z.looseObject({ rKPerW: perKelvin, tauS: timeS })).max(MOST_STAGES),
        ceilingC: temperatureC.nullable(),
        ambientC: temperatureC,
        zeroPowerC: temperatureC.exactOptional(),
      })
      .nullable(),
    timedSteps: z.array(z.looseObject({ limitW: estimateOf(power), afterS: estimateOf(count) })).max(20),
    responseS: z.number().min(0).max(1e9).exactOptional(),
    givesWay: givesWay.exactOptional(),
    heatBudget: z
      .looseObject({
        limitW: estimateOf(power),
        terms: z.array(z.looseObject({ share: z.number().min(0).max(1e3), tauS: timeS })).max(MOST_STAGES),
      })
      .nullable()
      .exactOptional(),
    heatControl: z
      .strictObject({
        wPerK: perKelvin,
        wPerKS: perKelvin,
        restsInPauses: z.boolean().exactOptional(),
      })
      .nullable()
      .exactOptional(),
  })
  .refine((chassis) => chassis.idleW < chassis.burstW.value, {
    path: ['idleW'],
    message: 'expected less than burstW: a machine draws more under load than at rest',
  }) satisfies z.ZodType<Chassis>
