import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { afterAll, describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { readLog } from '../../src/files/readLog.js'
import { parseLog } from '../../src/log/parseLog.js'
import { plainText } from '../../src/log/table/plainText.js'
import { processorSeconds } from '../processorSeconds.js'

const codeOf = (log: string | Uint8Array): string => {
  try {
    parseLog(log)
    return 'none'
  } catch (error) {
    if (error instanceof InputError) return error.code
    throw error
  }
}

describe('input that is no log', () => {
  it.each([
    ['nothing', '', 'log-empty'],
    ['blank lines', '\n \n\t\n', 'log-empty'],
    ['only a header', 'time_s,power_w\n', 'header-missing'],
    ['one sample', 'time_s,power_w\n0,5\n', 'too-few-samples'],
    ['rows without a header', '0,5\n1,45\n2,44\n', 'header-missing'],
    ['prose', 'This is a letter.\nIt has power in it, and time.\n', 'header-missing'],
    ['a header without a power', 'time_s,temp_c\n0,50\n1,51\n', 'header-missing'],
    ['formulas for cells', 'time_s,power_w\n=A1,=1+1\n=A2,=2+2\n', 'header-missing'],
    ['a line without end', `time_s,power_w\n${'5'.repeat(2_000_000)}`, 'line-too-long'],
    ['a million columns', `${'a,'.repeat(450_000)}power_w\n1\n`, 'too-many-columns'],
    ['numbers that overflow', 'time_s,power_w\n0,1e999\n1,1e999\n2,5\n', 'too-few-samples'],
  ])('%s is refused', (_, text, code) => {
    expect(codeOf(text)).toBe(code)
  })

  it('binary data are refused as such', () => {
    expect(codeOf(new Uint8Array([0x50, 0x4b, 3, 4, 0, 0, 1, 2, 0, 7]))).toBe('not-text')
    expect(codeOf(new Uint8Array(0))).toBe('log-empty')
  })

  it('deep quotes neither hang nor throw', () => {
    expect(codeOf(`time_s,power_w\n${'"'.repeat(100_001)}\n0,5\n1,6\n`)).toMatch(/none|line-too-long/)
    expect(codeOf(`time_s,power_w\n${'"a,"'.repeat(20_000)}\n0,5\n1,6\n`)).toMatch(/none|too-/)
  })

  it('control characters in names never reach a message or a result', () => {
    const log = parseLog('time_s,Power\u001b[2J\u0007 [W]\n0,5\n1,6\n')
    expect(log.columns.power).toBe('Power\ufffd[2J\ufffd [W]')
    const messages: string[] = []
    try {
      parseLog('time_s,A\u001b[31m [W],B\u202e [W]\n0,5,6\n1,6,7\n', { file: 'evil\u001b]0;x\u0007.csv' })
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      messages.push(error.message, error.details.remedy ?? '', error.details.where?.file ?? '')
    }
    expect(messages).toHaveLength(3)
    for (const message of messages) expect(message).toMatch(/^[^\p{Cc}\p{Cf}]*$/u)
    expect(plainText('a\r\n\u0000b')).toBe('a \ufffdb')
  })

  it('an error names the file and the line', () => {
    try {
      parseLog('note\ntime_s,power_w\n0,5\n', { file: 'short.csv' })
      expect.unreachable()
    } catch (error) {
      expect((error as InputError).details.where).toEqual({ file: 'short.csv', line: 3 })
    }
  })

  it('random bytes throw nothing but InputError', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 2000 }), (bytes) => codeOf(bytes).length > 0),
      { numRuns: 300 },
    )
  })

  it('random tables of odd cells throw nothing but InputError', () => {
    const cell = fc.oneof(
      fc.constantFrom(
        'time_s',
        'power_w',
        'Energy [uJ]',
        '°C',
        '"',
        '""',
        '1,5',
        '1e5',
        '-',
        'N/A',
        '12:00:00',
        '',
        '=1',
        '__proto__',
      ),
      fc.double().map(String),
      fc.string({ unit: 'binary', maxLength: 6 }),
    )
    const table = fc.array(fc.array(cell, { maxLength: 5 }), { maxLength: 12 })
    const header = fc.constantFrom('', 'time_s,power_w\n', 'power_w;time\n', 'Date\tTime\tenergy_uj\n')
    fc.assert(
      fc.property(header, table, fc.constantFrom(',', ';', '\t'), (head, rows, d) => {
        return codeOf(head + rows.map((row) => row.join(d)).join('\n')).length > 0
      }),
      { numRuns: 250 },
    )
  })

  it.each([
    ' '.repeat(4000),
    '1'.repeat(200_000),
    '1 '.repeat(50_000),
    '1,'.repeat(50_000),
    `${'1'.repeat(40_000)}:00`,
  ])('a cell that is far too long for a number or a time costs no time', (long) => {
    const before = process.cpuUsage()
    for (const row of [`3,4${long}5,50`, `1${long}2,4,50`, `3,4,5${long}x`])
      try {
        parseLog(`time_s,power_w,temp\n0,5,50\n1,45,50\n2,46,50\n${row}\n4,47,50`)
      } catch (error) {
        expect(error).toBeInstanceOf(InputError)
      }
    expect(processorSeconds(before)).toBeLessThan(3)
  })
})

describe('readLog', () => {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-log-'))
  afterAll(() => rmSync(folder, { recursive: true }))
  const codeAt = async (path: string): Promise<string> => {
    try {
      await readLog(path)
      return 'none'
    } catch (error) {
      if (error instanceof InputError) return error.code
      throw error
    }
  }

  it('reads a file, and names it in errors', async () => {
    const path = join(folder, 'a.csv')
    writeFileSync(path, 'time_s,power_w\n0,5\n1,6\n')
    expect((await readLog(path)).trace.powerW).toHaveLength(2)
    writeFileSync(path, 'time_s,power_w\n0,5\n')
    await expect(readLog(path)).rejects.toMatchObject({ details: { where: { file: path } } })
  })

  it('refuses a directory, a missing file and one that holds nothing but zeros, however large', async () => {
    expect(await codeAt(folder)).toBe('file-is-directory')
    expect(await codeAt(join(folder, 'none.csv'))).toBe('file-missing')
    expect(await codeAt(join(folder, 'a.csv', 'b.csv'))).toBe('file-missing')
    const big = join(folder, 'big.csv')
    writeFileSync(big, '')
    truncateSync(big, 500_000_000)
    expect(await codeAt(big)).toBe('not-text')
  })
})
