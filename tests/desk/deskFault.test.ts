import { expect, it } from 'vitest'
import { deskFault } from '../../src/desk/work/deskFault.js'
import { parseLog } from '../../src/log/parseLog.js'

function remedyOf(log: string): string {
  try {
    parseLog(log)
  } catch (error) {
    return deskFault(error).remedy
  }
  return 'none'
}

it('a fault names what is on the desk in the place of options', () => {
  expect(remedyOf('s,volts,amps\n0,19,2\n1,19,2\n')).toBe(
    'write this formula below, under “Columns”: volts * amps',
  )
  expect(remedyOf('s,"rail (V)","rail (A)"\n0,19,2\n1,19,2\n')).toBe(
    'write this formula below, under “Columns”: "rail (V)" * "rail (A)"',
  )
  expect(remedyOf('start,score\n0,2\n1,2\n')).toMatch(/table of scores/)
  expect(remedyOf('a W,b W,time_s\n1,2,0\n1,2,1\n')).toBe('choose the column below, under “Columns”')
})
