/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import { InputError } from '../../../errors.js'
import type { Estimate } from '../../../numeric/statistics/estimate.js'
import type { ProjectedRun, Projection } from '../../../predict/projection/projection.js'
import { projectScore } from '../../../predict/projection/projectScore.js'
import { sayCount, sayInterval, sayPower, sayPowers, sayScore, sayValue } from '../../figures/sayEstimate.js'
import { sayCautions } from '../../text/sayCaution.js'
import { startPage } from '../pageScript.js'
import { drawLiveChart, type LiveChart } from './liveChart.js'
import { traceRows } from './traceRows.js'
import {
  commandOf,
  fragmentOf,
  orderLimits,
  parseFragment,
  problemOf,
  requestOf,
  stateOfChassis,
  type WhatIfField,
  type WhatIfMachine,
  type WhatIfState,
} from './whatIfState.js'

/** What the command writes into the page for the what-if. */
export interface WhatIfData {
  readonly machines: readonly WhatIfMachine[]
  /** The chart, compiled to the renderer's own form. */
  readonly chart: object
}

const data = JSON.parse(element('what-if-data').textContent ?? '') as WhatIfData
const testedTraces = data.machines.map((machine, index) => traceAsTested(machine, index))
let state = parseFragment(location.hash, data.machines.length) ?? asTested(0)
/** What the reader set, before the limits were put in order: a limit that moved along comes back when it may. */
let wished = state
let chart: LiveChart | undefined
let announcing: ReturnType<typeof setTimeout> | undefined
let drawing = false

startPage()
document.addEventListener('input', onInput)
document.addEventListener('change', onChange)
document.addEventListener('click', onClick)
addEventListener('hashchange', onFragment)
showFields()
update(true)
void drawLiveChart(element('wi-drawing'), data.chart).then((drawn) => {
  chart = drawn
  update(true)
})

function asTested(machine: number): WhatIfState {
  return stateOfChassis(data.machines[machine]!.tested, machine)
}

function traceAsTested(machine: WhatIfMachine, index: number): Projection['trace'] {
  return projectScore(requestOf(stateOfChassis(machine.tested, index), machine)).trace
}

function onInput(event: Event): void {
  const input = event.target as HTMLInputElement
  const field = input.dataset.field as WhatIfField | undefined
  if (field === undefined) return
  const value = input.value === '' ? Number.NaN : Number(input.value)
  const problem = problemOf(field, value)
  input.setAttribute('aria-invalid', String(problem !== ''))
  if (problem !== '') {
    clearResult(problem)
    return
  }
  wished = { ...wished, [field]: value }
  state = orderLimits(wished, field)
  showFields(input)
  schedule()
}

function onChange(event: Event): void {
  const select = event.target as HTMLSelectElement
  if (select.id !== 'wi-machine') return
  state = asTested(Number(select.value))
  wished = state
  showFields()
  schedule()
}

function onClick(event: Event): void {
  const chassis = (event.target as Element).closest('button')?.dataset.chassis
  if (chassis === undefined) return
  state = { ...asTested(Number(chassis)), machine: state.machine }
  wished = state
  showFields()
  schedule()
}

function onFragment(): void {
  const shared = parseFragment(location.hash, data.machines.length)
  if (shared === undefined) return
  state = shared
  wished = state
  showFields()
  update(true)
}

/** At most one projection a frame, however fast a slider moves. */
function schedule(): void {
  if (drawing) return
  drawing = true
  requestAnimationFrame(() => {
    drawing = false
    update(false)
  })
}

function update(first: boolean): void {
  const machine = data.machines[state.machine]!
  try {
    const projection = projectScore(requestOf(state, machine))
    showResult(projection, machine)
    element('wi-problem').textContent = ''
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    clearResult(`${error.message}. ${error.details.remedy ?? ''}`)
  }
  if (!first) history.replaceState(null, '', `#${fragmentOf(state)}`)
}

function showResult(projection: Projection, machine: WhatIfMachine): void {
  const { firstScore, steadyScore } = machine.asTested
  showRow('first', projection.first, firstScore, projection.change.firstPct)
  showRow('steady', projection.steady, steadyScore, projection.change.steadyPct)
  element('wi-command').textContent = commandOf(state, machine)
  element('wi-outside').textContent = `${sayOutside(projection)} ${sayCautions(projection.cautions)}`.trim()
  const { score, better } = machine.chip.workload
  const verb = better === 'lower' ? 'takes' : 'scores'
  const words = `In this chassis ${machine.chip.name} ${verb} ${sayScore(projection.steady.score, score)} in a long run and ${sayScore(projection.first.score, score)} in the first run.`
  announce(words)
  const tested = testedTraces[state.machine]!
  element('wi-trace').replaceChildren(...traceRows(projection.trace, tested))
  element('wi-chart').setAttribute('aria-label', sayTrace(projection))
  chart?.show(projection.trace, tested)
}

/** Figures of other limits would be taken for those that are set. */
function clearResult(problem: string): void {
  element('wi-problem').textContent = problem
  for (const which of ['first', 'steady']) {
    const figure = element(`wi-${which}`) as HTMLDataElement
    figure.value = ''
    figure.textContent = '–'
    for (const part of ['interval', 'change']) element(`wi-${which}-${part}`).textContent = '–'
  }
  for (const id of ['wi-command', 'wi-outside']) element(id).textContent = ''
  announce('')
  element('wi-trace').replaceChildren()
  const tested = testedTraces[state.machine]!
  chart?.show(tested, tested)
}

function showRow(which: string, run: ProjectedRun, measured: Estimate | null, change: Estimate | null): void {
  const figure = element(`wi-${which}`) as HTMLDataElement
  figure.value = String(run.score.value)
  figure.dataset.low = String(run.score.low)
  figure.dataset.high = String(run.score.high)
  figure.textContent = sayValue(run.score, '', 'score')
  element(`wi-${which}-interval`).textContent = sayInterval(run.score, 'score')
  element(`wi-${which}-measured`).textContent = measured ? sayValue(measured, '', 'score') : '–'
  element(`wi-${which}-change`).textContent = change ? sayValue(change, '%') : '–'
}

/** Screen readers hear the summary when the reader pauses, not at every step of a slider. */
function announce(words: string): void {
  clearTimeout(announcing)
  announcing = setTimeout(() => {
    element('wi-summary').textContent = words
  }, 350)
}

function sayOutside({ extrapolation }: Projection): string {
  if (!extrapolation.outside) return ''
  const [low, high] = extrapolation.measuredRangeW
  return `Part of this is an extrapolation: the chip was measured from ${sayPowers([low, high])}. The intervals are wider for it.`
}

function sayTrace({ target, trace }: Projection): string {
  const minutes = (trace.timesS.at(-1) ?? 0) / 60
  return `Projected power over ${sayCount(Math.round(minutes), 'minute')}: from at most ${sayPower(target.burstW)} down to ${sayPower(target.sustainedW)}.`
}

function showFields(except?: HTMLInputElement): void {
  const machine = data.machines[state.machine]!
  ;(element('wi-machine') as HTMLSelectElement).value = String(state.machine)
  for (const input of document.querySelectorAll<HTMLInputElement>('[data-field]')) {
    const field = input.dataset.field as WhatIfField
    if (input.type === 'range') setRange(input, field, machine)
    if (input === except) continue
    input.value = String(state[field])
    input.removeAttribute('aria-invalid')
  }
}

/** Sliders reach from half the least to well over the highest power seen; number fields take anything. */
function setRange(input: HTMLInputElement, field: WhatIfField, { tested, chip }: WhatIfMachine): void {
  const isPower = field.endsWith('W')
  const lowest = Math.min(tested.sustainedW.value, chip.measuredRangeW[0])
  const highest = Math.max(
    tested.burstW.value,
    chip.measuredRangeW[1],
    ...data.machines.map((other) => other.tested.burstW.value),
  )
  const usual = isPower ? Math.ceil((highest * 1.3) / 5) * 5 : field === 'burstForS' ? 120 : 300
  input.min = String(isPower ? Math.max(1, Math.floor(lowest / 2)) : 1)
  input.max = String(Math.max(usual, Math.ceil(state[field])))
}

function element(id: string): HTMLElement {
  const found = document.getElementById(id)
  if (found === null) throw new Error(`the page has no #${id}`)
  return found
}
