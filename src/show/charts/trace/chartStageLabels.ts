import type { Estimate } from '../../../numeric/statistics/estimate.js'
import type { Stage } from '../../../segment/load.js'
import { capitalised } from '../../figures/capitalised.js'
import { sayDuration } from '../../figures/sayDuration.js'
import { sayPowers, sayValue } from '../../figures/sayEstimate.js'
import { heldByWords } from '../../text/heldByWords.js'
import {
  type ChartLabel,
  type ChartPanel,
  fitText,
  xAtPixel,
  xPixel,
  yAtPixel,
  yPixel,
} from '../chartPanel.js'
import { LABEL_PX } from '../chartSpec.js'
import { chartTextWidth } from '../chartTextWidth.js'

interface Box {
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

/**
 * Puts a label to each stage where it covers neither the trace nor another label: over the stage when it is wide
 * enough, else beside its end, where a falling power leaves room; moved up or down as far as is needed. Where a
 * restless trace leaves no room, a label may cover it, but never a stage or another label.
 *
 * @returns labels at the middle of their left edge, in data coordinates
 */
export function placeStageLabels(
  stages: readonly Stage[],
  trace: readonly { readonly x: number; readonly y: number }[],
  panel: ChartPanel,
  options: {
    readonly short: boolean
    readonly say: (stage: Stage) => string
    /** Where the power settles, for the last stage of a load. */
    readonly settledW?: (stage: Stage) => Estimate | undefined
    /** Every stage that is drawn, labelled or not; default: those to label. */
    readonly drawn?: readonly Stage[]
  },
): ChartLabel[] {
  const lines = (options.drawn ?? stages).map((stage) => lineBox(stage, panel))
  const covered = traceBoxes(trace, panel)
  const taken: Box[] = []
  return stages.flatMap((stage) => {
    const text = fitText(stageText(stage, options), panel.widthPx, true)
    const width = chartTextWidth(text, LABEL_PX, true)
    const box =
      freeBox(stage, width, [...covered, ...lines, ...taken], panel) ??
      freeBox(stage, width, [...lines, ...taken], panel)
    if (!box) return []
    taken.push(box)
    return [
      {
        x: xAtPixel(panel, box.left),
        y: yAtPixel(panel, (box.top + box.bottom) / 2),
        text,
        colour: options.say(stage),
      },
    ]
  })
}

function stageText(
  stage: Stage,
  options: { readonly short: boolean; readonly settledW?: (stage: Stage) => Estimate | undefined },
): string {
  const name = capitalised(stage.label)
  const { decay } = stage
  const settled = options.settledW?.(stage)
  const level = decay ? sayPowers([decay.fromW, decay.towardW.value]) : sayStageLevel(stage, settled)
  if (options.short) return `${name} ${decay || !settled ? level : sayValue(settled, 'W')}`
  const lasting = `${decay ? 'over' : 'for'} ${sayDuration(stage.endS - stage.startS)}`
  return `${name} ${level} ${lasting}, ${heldByWords[stage.heldBy.label]}`
}

/** The level of a stage: where the power settles, and the mean over the stage where that is another. */
export function sayStageLevel({ levelW }: Stage, settled: Estimate | undefined): string {
  if (settled === undefined) return sayValue(levelW, 'W')
  const differs = levelW.value < settled.low || levelW.value > settled.high
  return differs ? `${sayValue(settled, 'W')} (mean ${sayValue(levelW, 'W')})` : sayValue(settled, 'W')
}

const HALF_HEIGHT_PX = LABEL_PX * 0.62
const STEP_PX = 3

function freeBox(stage: Stage, width: number, taken: readonly Box[], panel: ChartPanel): Box | undefined {
  const anchor = anchorOf(stage)
  const start = Math.max(0, xPixel(panel, stage.startS))
  const end = Math.min(panel.widthPx, xPixel(panel, anchor.endS))
  const level = yPixel(panel, anchor.levelW)
  const wide = !stage.decay && end - start >= width + 8
  const wished = wide
    ? [start + Math.min(end - start - width, 24), (start + end - width) / 2, end - width - 8]
    : [end + 7]
  const found = wished.flatMap((x) => {
    const left = Math.max(0, Math.min(x, panel.widthPx - width))
    const over = wide || left < x
    return nearestFree({ left, width, middle: over ? level - HALF_HEIGHT_PX - 4 : level }, taken, panel)
  })
  // The first of equals: a label at the beginning of its stage reads best.
  return found.reduce<Placed | undefined>(
    (best, each) => (best && best.moved <= each.moved ? best : each),
    undefined,
  )?.box
}

interface Placed {
  readonly box: Box
  /** How far from where it was wished, px. */
  readonly moved: number
}

/** The place nearest to the wished one, straight up or down; empty when there is none. */
function nearestFree(
  wish: { readonly left: number; readonly width: number; readonly middle: number },
  taken: readonly Box[],
  panel: ChartPanel,
): Placed[] {
  for (let moved = 0; moved < panel.heightPx; moved += STEP_PX) {
    for (const middle of [wish.middle - moved, wish.middle + moved]) {
      const box = {
        left: wish.left,
        right: wish.left + wish.width,
        top: middle - HALF_HEIGHT_PX,
        bottom: middle + HALF_HEIGHT_PX,
      }
      const inside = box.top >= -HALF_HEIGHT_PX && box.bottom <= panel.heightPx
      if (inside && !taken.some((other) => overlap(box, other))) return [{ box, moved }]
    }
  }
  return []
}

/** Where a label would stand best: at the level of a flat stage, at two thirds of the fall of a decay. */
function anchorOf(stage: Stage): { levelW: number; endS: number } {
  const { decay } = stage
  if (!decay) return { levelW: stage.levelW.value, endS: stage.endS }
  const levelW = decay.towardW.value + ANCHOR_OF_FALL * (decay.fromW - decay.towardW.value)
  return { levelW, endS: stage.startS + decay.tauS.value * Math.log(1 / ANCHOR_OF_FALL) }
}

const ANCHOR_OF_FALL = 2 / 3

function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

/** The drawn level of a stage; of a decay only its end, as the label stands beside the fall. */
function lineBox(stage: Stage, panel: ChartPanel): Box {
  const y = yPixel(panel, stage.decay?.towardW.value ?? stage.levelW.value)
  return { left: xPixel(panel, stage.startS), right: xPixel(panel, stage.endS), top: y - 2, bottom: y + 2 }
}

/** The trace as what a label may not cover: the box between each pair of neighbouring points. */
function traceBoxes(trace: readonly { readonly x: number; readonly y: number }[], panel: ChartPanel): Box[] {
  return trace.slice(1).map((point, index) => {
    const before = trace[index]!
    const ys = [yPixel(panel, point.y), yPixel(panel, before.y)]
    return {
      left: xPixel(panel, before.x) - 2,
      right: xPixel(panel, point.x) + 2,
      top: Math.min(...ys) - 2,
      bottom: Math.max(...ys) + 2,
    }
  })
}
