import { deflateRawSync } from 'node:zlib'
import { strToU8, zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import type { Desk } from '../../src/desk/state/desk.js'
import { checkedDesk, formatDesk, parseDesk } from '../../src/desk/state/deskFile.js'
import { sortFiles } from '../../src/desk/state/sortFiles.js'

const DESK: Desk = {
  logs: [{ id: 'l', name: 'loop.csv', options: { power: 'W', everyS: 1 } }],
  sheets: [{ id: 's', file: 'loop.yaml', text: 'machine: a\n' }],
}

const file = (name: string, content: string | Uint8Array) =>
  new File([content as Uint8Array<ArrayBuffer>], name)

describe('a desk as one file', () => {
  it('comes back as it was, with the bytes of its logs', async () => {
    const text = await formatDesk(DESK, new Map([['l', new Blob(['time,W\n0,1\n'])]]))
    const { desk, blobs } = parseDesk(text)
    expect(desk).toEqual(DESK)
    expect(await blobs.get('l')!.text()).toBe('time,W\n0,1\n')
  })

  it('keeps loads that a person set, in a version of its own; without them, the first desk can read it', async () => {
    const time = { elapsedS: 12, ofDayS: null, epochS: null, text: '12 s' }
    const loads = [{ from: time, to: { ...time, elapsedS: 840, text: '840 s' } }]
    const corrected: Desk = { ...DESK, logs: [{ id: 'l', name: 'loop.csv', options: { loads } }] }
    const text = await formatDesk(corrected, new Map())
    expect(parseDesk(text).desk).toEqual(corrected)
    expect(JSON.parse(text)).toMatchObject({ version: 2 })
    expect(JSON.parse(await formatDesk(DESK, new Map()))).toMatchObject({ version: 1 })
  })

  it.each([
    ['another JSON file', '{"format":"other"}', 'desk-not-readable'],
    ['half a file', '{"format":"holdwatt-desk","ver', 'desk-not-readable'],
    [
      'a file of a newer desk',
      '{"format":"holdwatt-desk","version":99,"desk":{"logs":[],"sheets":[]},"files":{}}',
      'desk-too-new',
    ],
    [
      'damaged bytes',
      '{"format":"holdwatt-desk","version":1,"desk":{"logs":[],"sheets":[]},"files":{"a":"AAAA"}}',
      'desk-not-readable',
    ],
  ])('is refused in words when it is %s', (_what, text, code) => {
    expect(() => parseDesk(text)).toThrow(expect.objectContaining({ code }))
  })

  it('is not taken from a browser that kept something else under its name', () => {
    expect(checkedDesk({ logs: 3 })).toBe(null)
    expect(checkedDesk(DESK)).toEqual(DESK)
  })
})

/** A zipped folder of one file that is packed already: its entry as PKZIP's note 6.3.10 lays it out (4.3.7), without a sum to check it by. */
function zipOf(name: string, packed: Uint8Array, bytes: number): Uint8Array {
  const head = Buffer.alloc(30)
  head.writeUInt32LE(0x04034b50, 0)
  head.writeUInt16LE(20, 4)
  head.writeUInt16LE(8, 8)
  head.writeUInt32LE(packed.length, 18)
  head.writeUInt32LE(bytes, 22)
  head.writeUInt16LE(name.length, 26)
  return Buffer.concat([head, Buffer.from(name), packed])
}

describe('files that are dropped', () => {
  it('are sorted by what they are; a zipped folder gives the logs and sheets in it', async () => {
    const zip = zipSync({
      'test/loop.csv': strToU8('a,b\n'),
      'test/loop.yaml': strToU8('machine: a\n'),
      'test/picture.png': strToU8('x'),
      '__MACOSX/loop.csv': strToU8('x'),
    })
    const desk = await formatDesk(DESK, new Map())
    const sorted = await sortFiles([file('all.zip', zip), file('one.log', 'a'), file('my.json', desk)])
    expect(sorted.logs.map(({ name }) => name)).toEqual(['loop.csv', 'one.log'])
    expect(sorted.sheets).toEqual([{ file: 'loop.yaml', text: 'machine: a\n' }])
    expect(sorted.desks).toEqual([desk])
  })

  it.each([
    [
      'unpacks to more than 200 MB',
      () => zipOf('a.csv', deflateRawSync(new Uint8Array(210e6), { level: 1 }), 210e6),
      'zip-too-large',
    ],
    [
      'holds a thousand files',
      () => zipSync(Object.fromEntries(Array.from({ length: 1000 }, (_, i) => [`${i}.csv`, strToU8('a')]))),
      'zip-too-large',
    ],
    ['holds nothing that can be read', () => zipSync({ 'a.png': strToU8('a') }), 'zip-empty'],
    [
      'is a file of a spreadsheet program',
      () => zipSync({ '[Content_Types].xml': strToU8('a'), 'xl/workbook.xml': strToU8('a') }),
      'spreadsheet',
    ],
    ['is cut off', () => zipSync({ 'a.csv': strToU8('a,b\n'.repeat(9999)) }).subarray(0, 60), 'zip-'],
  ])(
    'are told in words, and the others are taken, when a zipped folder %s',
    async (_what, make, code) => {
      const { logs, faults } = await sortFiles([file('all.zip', make()), file('good.csv', 'a,b\n')])
      expect(faults).toMatchObject([
        { code: expect.stringContaining(code), details: { where: { file: 'all.zip' } } },
      ])
      expect(logs.map(({ name }) => name)).toEqual(['good.csv'])
    },
    60_000,
  )
})
