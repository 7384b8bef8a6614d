import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { powerFromCounter } from '../../../src/log/repair/powerFromCounter.js'
import { powercapRanges } from '../../certified/logFormats.js'

/** A counter that starts `beforeWrapJ` below its range and is read once a second at these powers. */
const counterOf = (powersW: readonly number[], rangeJ: number, beforeWrapJ: number, dt = 1) => {
  let energyJ = rangeJ - beforeWrapJ
  const energies = powersW.map((powerW, i) => {
    energyJ = (energyJ + (i === 0 ? 0 : powerW * dt)) % rangeJ
    return energyJ
  })
  return { energies, times: powersW.map((_, i) => i * dt) }
}
const noisy = (n: number, levelW: number) =>
  Array.from({ length: n }, (_, i) => levelW + 3 * Math.sin(i * 1.7))

describe('powerFromCounter', () => {
  it.each(powercapRanges)('the published range of 2^-$bits J is followed through its wrap', ({ rangeUj }) => {
    const powers = noisy(60, 45)
    const { energies, times } = counterOf(powers, rangeUj * 1e-6, 1000)
    const counter = powerFromCounter(times, energies, 1e-6)
    expect(counter.wraps).toHaveLength(1)
    expect(counter.rangeJ).toBeCloseTo(rangeUj * 1e-6, 6)
    for (let i = 1; i < powers.length; i++) expect(counter.powerW[i]).toBeCloseTo(powers[i]!, 5)
  })

  it.each(powercapRanges)(
    'a counter of $rangeUj uJ wraps after the published time',
    ({ rangeUj, wrapAfterS }) => {
      for (const [powerW, seconds] of Object.entries(wrapAfterS)) {
        expect(Math.abs((rangeUj * 1e-6) / Number(powerW) - seconds)).toBeLessThan(0.06)
      }
    },
  )

  it.each([
    ['32 bits of microjoules', 2 ** 32 * 1e-6, 1e-6],
    ['32 bits of millijoules', 2 ** 32 * 1e-3, 1e-3],
    ['16 bits of joules', 2 ** 16, 1],
    ['16 bits of milliwatt-hours', 2 ** 16 * 3.6, 3.6],
    ['a display of 1000 watt-hours', 3.6e6, 3600],
    ['a display of 100 000 joules', 1e5, 1],
  ])('a counter of %s is followed through its wrap', (_, rangeJ, unitJ) => {
    const powers = noisy(60, 45)
    const { energies, times } = counterOf(powers, rangeJ, 1000)
    const counter = powerFromCounter(times, energies, unitJ)
    // Ranges that differ by less than the scatter of one sample can't be told apart: 65536 J from the published 65532.6 J.
    for (let i = 1; i < powers.length; i++)
      expect(Math.abs(counter.powerW[i]! - powers[i]!)).toBeLessThan(3.5)
  })

  it('a small counter that goes round several times in one log is followed each time', () => {
    const powers = noisy(400, 100)
    const { energies, times } = counterOf(powers, 2 ** 32 * 1e-6, 100)
    const counter = powerFromCounter(times, energies, 1e-6)
    expect(counter.wraps.length).toBeGreaterThan(7)
    for (let i = 1; i < powers.length; i++) expect(counter.powerW[i]).toBeCloseTo(powers[i]!, 4)
  })

  it('whole turns inside a gap are added', () => {
    const { energies, times } = counterOf(
      Array.from({ length: 400 }, () => 100),
      2 ** 32 * 1e-6,
      100,
    )
    const keep = times.filter((t) => t < 150 || t > 280)
    const counter = powerFromCounter(
      keep,
      keep.map((t) => energies[t]!),
      1e-6,
    )
    for (let i = 1; i < keep.length; i++) expect(counter.powerW[i]).toBeCloseTo(100, 4)
  })

  it('a wrap at a burst is followed', () => {
    const powers = [...noisy(20, 6), ...Array.from({ length: 20 }, () => 96)]
    const { energies, times } = counterOf(powers, 262143.32885, 19 * 6 + 40)
    const counter = powerFromCounter(times, energies, 1e-6)
    for (let i = 1; i < powers.length; i++) expect(Math.abs(counter.powerW[i]! - powers[i]!)).toBeLessThan(1)
  })

  it('a counter that was reset loses one sample, not its calibration', () => {
    const energies = [50000, 50050, 50100, 50150, 12, 62, 112]
    const counter = powerFromCounter([0, 1, 2, 3, 4, 5, 6], energies, 1)
    expect(counter.resets).toEqual([4])
    expect(Array.from(counter.powerW)).toEqual([50, 50, 50, 50, Number.NaN, 50, 50])
  })

  it('a fall by one unit after a long gap is a counter that was set back, whatever wrap would make its power likely', () => {
    const energies = [700, 740, 780, 820, 819.999999, 860, 900]
    const counter = powerFromCounter([0, 1, 2, 3, 603, 604, 605], energies, 1e-6)
    expect(counter).toMatchObject({ resets: [4], wraps: [], rangeJ: null })
    expect(counter.powerW[4]).toBeNaN()
    expect(counter.powerW[5]).toBeCloseTo(40, 4)
  })

  it('a counter that is cleared again and again is not taken for one that wraps', () => {
    const energies = Array.from({ length: 200 }, (_, i) => (i % 50) * 1000)
    const counter = powerFromCounter(
      energies.map((_, i) => i),
      energies,
      1,
    )
    expect(counter.resets).toEqual([50, 100, 150])
    expect(Math.max(...Array.from(counter.powerW).filter((value) => !Number.isNaN(value)))).toBe(1000)
  })

  it('a counter slower than the sampling gives its mean between updates', () => {
    const counter = powerFromCounter([0, 1, 2, 3, 4, 5, 6], [0, 0, 100, 100, 100, 250, 300], 1)
    expect(Array.from(counter.powerW)).toEqual([50, 50, 50, 50, 50, 50, 50])
    expect(counter.stale).toEqual([1, 3, 4])
  })

  it('energy is kept: the powers times their intervals add up to the counter', () => {
    const energies = [0, 10, 10, 95, 130, 130, 210]
    const times = [0, 0.9, 2.1, 3, 4.2, 5, 6]
    const { powerW } = powerFromCounter(times, energies, 1)
    let sum = 0
    for (let i = 1; i < times.length; i++) sum += powerW[i]! * (times[i]! - times[i - 1]!)
    expect(sum).toBeCloseTo(210, 9)
  })
})

describe('a log with a counter', () => {
  it('reports the wrap with its line, and keeps its times from the first row', () => {
    const { energies, times } = counterOf(noisy(60, 45), 262143.32885, 1000)
    const rows = times.map((t, i) => `${1790047531 + t}.000\t${Math.round(energies[i]! * 1e6)}\t45000`)
    const log = parseLog(`epoch_s\tenergy_uj\ttemp_millidegC\n${rows.join('\n')}\n`)
    const line = energies.findIndex((energy, i) => i > 0 && energy < energies[i - 1]!) + 2
    expect(log.repairs).toContainEqual({
      kind: 'counter-wrap',
      count: 1,
      firstLine: line,
      detail: 'energy counter wrapped around at 262143 J; followed',
    })
    expect(log.trace.timesS).toHaveLength(60)
    expect(log.trace.startEpochS).toBe(1790047531)
  })
})
