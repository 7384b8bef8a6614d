import type { Device } from '../columns/chooseDevice.js'
import { decodeText } from '../table/logEncoding.js'
import { decodeCell } from '../table/recordCells.js'
import type { RecordScanner } from '../table/recordScanner.js'

/** Tells and counts the rows of other machines: those whose cell names one that is not wanted. */
export class DeviceRows {
  passedOver = 0
  private readonly wanted: string
  private readonly index: number
  private readonly header: string

  constructor({ column, value }: Device) {
    this.wanted = value
    this.index = column.index
    this.header = column.header
  }

  isOther(bytes: Uint8Array, record: RecordScanner): boolean {
    if (this.index >= record.count || record.hasStray) return false
    const [start, end] = [record.starts[this.index]!, record.ends[this.index]!]
    if (end - start > LONGEST_CELL) return false
    const text = decodeCell(bytes, start, end, decodeText).trim()
    if (text === this.wanted || text === '' || text === this.header) return false
    this.passedOver++
    return true
  }
}

const LONGEST_CELL = 256
