/** Samples that share one relaxation, seconds since it began. */
export interface Section {
  readonly sinceS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Float64Array | Uint8Array
}

/** How many times as long as the fitted time constant its slow companion is. Thermal networks of published packages have neighbouring time constants a factor of 3 to 10 apart. */
const SLOW_FACTOR = 4

/** A block of samples holds this share of what came before it: no relaxation that goes on bends within so little of its time. */
const BLOCK_SHARE = 1 / 100

/** What a fit takes of samples: means of blocks with their weighted sums. */
export function condense(section: Section): SummedSection {
  return withSums(compress(section))
}

/** Means of blocks, which tell as much about the course as the samples; a long section takes hardly longer than a short one. */
function compress(section: Section): Section {
  const starts = blockStarts(section.powerW.length)
  const count = starts.length
  if (count === section.powerW.length) return section
  const sinceS = new Float64Array(count)
  const powerW = new Float64Array(count)
  const weights = new Float64Array(count)
  for (let k = 0; k < count; k++) {
    let sinceSum = 0
    let powerSum = 0
    let weight = 0
    const end = starts[k + 1] ?? section.powerW.length
    for (let i = starts[k]!; i < end; i++) {
      weight += section.weights[i]!
      sinceSum += section.weights[i]! * section.sinceS[i]!
      powerSum += section.weights[i]! * section.powerW[i]!
    }
    weights[k] = weight
    if (weight === 0) continue
    sinceS[k] = sinceSum / weight
    powerW[k] = powerSum / weight
  }
  return { sinceS, powerW, weights }
}

function blockStarts(samples: number): readonly number[] {
  const starts: number[] = []
  for (let at = 0; at < samples; at += Math.max(1, Math.floor(BLOCK_SHARE * at))) starts.push(at)
  return starts
}

/** A section with its weighted sums of 1, of the power y and of its square, which no shape changes. */
export interface SummedSection extends Section {
  readonly weight: number
  readonly y: number
  readonly yy: number
}

function withSums(section: Section): SummedSection {
  let weight = 0
  let y = 0
  let yy = 0
  for (let i = 0; i < section.powerW.length; i++) {
    const weighted = section.weights[i]! * section.powerW[i]!
    weight += section.weights[i]!
    y += weighted
    yy += weighted * section.powerW[i]!
  }
  return { ...section, weight, y, yy }
}

/** exp(-t / tau) with a share of exp(-t / (4 tau)), 1 at t = 0; tau Infinity: nothing relaxes. */
interface Shape {
  readonly tauS: number
  readonly slowShare: number
}

/** A level with amplitudes of one shape, as least squares with a prior of the amplitudes give them. */
export interface ShapeFit {
  readonly shape: Shape
  readonly levelW: number
  /** Inverse variance of the level, per sample variance. */
  readonly information: number
  /** Penalised sum of squares: residuals and amplitudes, W². */
  readonly misfit: number
  /** Logarithm of the volume that the amplitudes' prior shrinks to. */
  readonly logShrink: number
  /** Section by section. */
  readonly amplitudesW: readonly number[]
}

/**
 * Fits level and amplitudes of one shape to sections, which is linear; undefined where the samples tell no level.
 *
 * @param options - variance of a sample, W², and prior standard deviation of the amplitudes, W
 */
export function fitShape(
  sections: readonly SummedSection[],
  shape: Shape,
  options: { readonly noiseVariance: number; readonly amplitudeW: number },
): ShapeFit | undefined {
  const ridge = options.noiseVariance / Math.max(options.amplitudeW ** 2, options.noiseVariance)
  const sums = sections.map((section) => ({ ...section, ...shapeSums(section, shape) }))
  let information = 0
  let pull = 0
  let logShrink = 0
  for (const s of sums) {
    information += s.weight - (s.f * s.f) / (s.ff + ridge)
    pull += s.y - (s.f * s.fy) / (s.ff + ridge)
    logShrink -= 0.5 * Math.log1p(s.ff / ridge)
  }
  if (!(information > 1e-6)) return undefined
  const levelW = pull / information
  let misfit = 0
  const amplitudesW = sums.map((s) => {
    const along = s.fy - levelW * s.f
    misfit += s.yy - 2 * levelW * s.y + levelW * levelW * s.weight - (along * along) / (s.ff + ridge)
    return along / (s.ff + ridge)
  })
  return { shape, levelW, information, misfit: Math.max(0, misfit), logShrink, amplitudesW }
}

/** Weighted sums of the shape f, and of its products with itself and the power y. */
interface ShapeSums {
  readonly f: number
  readonly ff: number
  readonly fy: number
}

function shapeSums({ powerW, weights, sinceS }: Section, shape: Shape): ShapeSums {
  let f = 0
  let ff = 0
  let fy = 0
  if (!Number.isFinite(shape.tauS)) return { f, ff, fy }
  for (let i = 0; i < powerW.length; i++) {
    const value = shapeAt(shape, sinceS[i]!)
    const weighted = weights[i]! * value
    f += weighted
    ff += weighted * value
    fy += weighted * powerW[i]!
  }
  return { f, ff, fy }
}

/** The shape at a time, 1 at its start. */
export function shapeAt({ tauS, slowShare }: Shape, sinceS: number): number {
  if (!Number.isFinite(tauS)) return 0
  const fast = Math.exp(-sinceS / tauS)
  if (slowShare === 0) return fast
  return (fast + slowShare * Math.exp(-sinceS / (SLOW_FACTOR * tauS))) / (1 + slowShare)
}
