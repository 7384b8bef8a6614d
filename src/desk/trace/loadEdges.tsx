import type { Corrections } from '../reach/useCorrections.js'
import { edgeRange, type LoadEdge } from '../state/loadSpans.js'
import { EdgeHandle, type TraceFrame } from './edgeHandle.js'

const EDGES: readonly (readonly [LoadEdge, string, string])[] = [
  ['startS', 'Start', '▸'],
  ['endS', 'End', '◂'],
]

/** The edges of all loads over a trace, to be moved by hand; and where a load is to be split. */
export function LoadEdges({
  corrections,
  frame,
}: {
  readonly corrections: Corrections
  readonly frame: TraceFrame
}) {
  const { loads, extent, planned, planSplit, move } = corrections
  return (
    <>
      {loads.flatMap((load, at) =>
        EDGES.map(([edge, name, arrow]) => (
          <EdgeHandle
            key={`${at}-${edge}`}
            label={`${name} of load ${at + 1}`}
            tag={edge === 'startS' ? `${at + 1}${arrow}` : `${arrow}${at + 1}`}
            atS={load[edge]}
            range={edgeRange(loads, at, edge, extent)}
            stepS={extent.intervalS}
            frame={frame}
            side={edge === 'startS' ? 'opens' : 'closes'}
            set={(toS) => move(at, edge, toS)}
          />
        )),
      )}
      {planned && (
        <EdgeHandle
          key="split"
          label={`Where load ${planned.at + 1} is split`}
          tag="split"
          atS={planned.atS}
          range={[loads[planned.at]!.startS, loads[planned.at]!.endS]}
          stepS={extent.intervalS}
          frame={frame}
          side="split"
          set={(atS) => planSplit({ at: planned.at, atS })}
        />
      )}
    </>
  )
}
