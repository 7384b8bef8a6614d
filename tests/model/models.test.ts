import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { readSubject } from '../../src/machine/readSubject.js'
import { readChassis } from '../../src/model/readChassis.js'
import { readChip } from '../../src/model/readChip.js'
import { MODEL_VERSION, type RawModel, upgradeModel } from '../../src/model/upgradeModel.js'
import { writeChassis } from '../../src/model/writeChassis.js'
import { writeChip } from '../../src/model/writeChip.js'
import { readSheet } from '../../src/sheet/readSheet.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-models-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const at = (name: string) => join(folder, name)

describe('a model file', () => {
  it.each(['samples/heron.yaml', 'samples/ibis-compile.yaml'])(
    'gives back exactly what was written (%s)',
    async (sheet) => {
      const { chip, chassis } = await fitMachine(await readSheet(sheet))
      await writeChip(at('chip.json'), chip)
      await writeChassis(at('chassis.json'), chassis)
      // Undefined fields are absent in JSON, and -0 is 0.
      const plain = (value: unknown) => JSON.parse(JSON.stringify(value)) as object
      expect(await readChip(at('chip.json'))).toMatchObject(plain(chip))
      expect(await readChassis(at('chassis.json'))).toMatchObject(plain(chassis))
      expect((await readSubject(at('chassis.json'))).kind).toBe('chassis')
      expect((await readSubject(at('chip.json'))).kind).toBe('chip')
    },
  )

  it.each([
    [
      'a weight that is missing',
      (model: Model) => ({ ...model, draws: [{ curve: model.draws[0]!.curve }] }),
      /draws\.0\.weight/,
    ],
    [
      'weights that do not add up',
      (model: Model) => ({ ...model, draws: model.draws.slice(0, 3) }),
      /add up to 1/,
    ],
    [
      'an unknown shape',
      (model: Model) => ({ ...model, draws: [{ weight: 1, curve: { shape: 'magic' } }] }),
      /draws\.0\.curve\.shape/,
    ],
    ['a range upside down', (model: Model) => ({ ...model, measuredRangeW: [90, 40] }), /measuredRangeW/],
    ['a name that drives terminals', (model: Model) => ({ ...model, name: '\u001b[2J' }), /name/],
  ])('with %s is refused, the field named', async (_case, spoil, message) => {
    const { chip } = await fitMachine(await readSheet('samples/bittern-noted.yaml'))
    const model = JSON.parse(JSON.stringify({ format: 'holdwatt-chip', version: 1, ...chip })) as Model
    writeFileSync(at('spoiled.json'), JSON.stringify(spoil(model)))
    await expect(readChip(at('spoiled.json'))).rejects.toThrow(InputError)
    await expect(readChip(at('spoiled.json'))).rejects.toThrow(message)
  })

  it('of the other kind is refused, and the command that writes the right one is named', async () => {
    writeFileSync(at('other.json'), '{"format":"holdwatt-chassis","version":1}')
    const error = await readChip(at('other.json')).catch((fault: unknown) => fault)
    expect(error).toMatchObject({
      code: 'model-wrong-format',
      details: { remedy: expect.stringContaining('--chip FILE.json') },
    })
  })
})

describe('a model file of another version', () => {
  const load = async (model: object) => {
    writeFileSync(at('version.json'), JSON.stringify(model))
    return readChassis(at('version.json'))
  }
  const present = JSON.parse(readFileSync('models/chassis/heron-slim.json', 'utf8')) as RawModel
  const { givesWay: _given, ...without } = present

  it('is written with the present version, and a chassis says how its budgets give way', async () => {
    expect(present).toMatchObject({ version: MODEL_VERSION, givesWay: 'headroom' })
    const { givesWay: _left, ...chassis } = await load(present)
    await writeChassis(at('written.json'), chassis)
    expect(await readChassis(at('written.json'))).toMatchObject({ givesWay: 'headroom' })
  })

  it('of version 1 is upgraded: a chassis that does not say how budgets give way held them at their limit', async () => {
    expect(upgradeModel({ ...without, version: 1 }, 'holdwatt-chassis', 'f')).toEqual({
      ...without,
      version: 2,
      givesWay: 'latch',
    })
    expect(await load({ ...without, version: 1 })).toMatchObject({
      givesWay: 'latch',
      burstW: present.burstW,
    })
    expect(await load({ ...present, version: 1 })).toMatchObject({ givesWay: 'headroom' })
    expect(upgradeModel({ format: 'holdwatt-chip', version: 1, name: 'K' }, 'holdwatt-chip', 'f')).toEqual({
      format: 'holdwatt-chip',
      version: 2,
      name: 'K',
    })
  })

  it('that is upgraded and written again is read as the present version', async () => {
    await writeChassis(at('again.json'), await load({ ...without, version: 1 }))
    const again = JSON.parse(readFileSync(at('again.json'), 'utf8')) as RawModel
    expect(again).toMatchObject({ version: MODEL_VERSION, givesWay: 'latch' })
  })

  it('that is newer is refused with what to do', async () => {
    await expect(load({ ...present, version: MODEL_VERSION + 1 })).rejects.toMatchObject({
      code: 'model-too-new',
      message: expect.stringContaining('written by a newer holdwatt'),
      details: { remedy: expect.stringContaining('update holdwatt') },
    })
  })

  it.each([undefined, null, '2', 0, -1, 1.5])('that is no version (%s) is refused', async (version) => {
    await expect(load({ ...present, version })).rejects.toMatchObject({
      code: 'model-invalid',
      message: expect.stringMatching(/^version: expected a whole number from 1 up/),
    })
  })
})

interface Model {
  readonly name: string
  readonly measuredRangeW: readonly number[]
  readonly draws: readonly { readonly weight?: number; readonly curve: unknown }[]
}
