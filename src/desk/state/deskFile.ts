/// <reference lib="dom" />
import { gunzipSync, gzipSync } from 'fflate'
import * as z from 'zod'
import { InputError } from '../../errors.js'
import type { LogOptions } from '../../log/trace.js'
import type { Desk } from './desk.js'

/** The version of the file: rises when an older desk could not read it. */
const DESK_VERSION = 2
/** Without loads that a person set, any desk can read it. */
const PLAIN_VERSION = 1

const time = z.object({
  elapsedS: z.number().nullable(),
  ofDayS: z.number().nullable(),
  epochS: z.number().nullable(),
  text: z.string(),
})

const options = z.object({
  power: z.string().optional(),
  time: z.string().optional(),
  temperature: z.string().optional(),
  clock: z.string().optional(),
  device: z.string().optional(),
  reasonBits: z.string().optional(),
  everyS: z.number().positive().optional(),
  load: z.number().int().positive().optional(),
  from: time.optional(),
  to: time.optional(),
  loads: z
    .array(z.object({ from: time, to: time }))
    .max(1000)
    .optional(),
})

const deskSchema = z.object({
  logs: z.array(z.object({ id: z.string(), name: z.string(), options })).max(1000),
  sheets: z
    .array(z.object({ id: z.string(), file: z.string(), text: z.string(), asked: z.string().optional() }))
    .max(1000),
})

const fileSchema = z.object({
  format: z.literal('holdwatt-desk'),
  version: z.number().int().positive(),
  desk: deskSchema,
  /** Bytes of the logs by id: compressed, then as Base64. */
  files: z.record(z.string(), z.string()),
})

/** A whole desk in one JSON file: what lies on it, and the bytes of its logs. */
export async function formatDesk(desk: Desk, blobs: ReadonlyMap<string, Blob>): Promise<string> {
  const files: { [id: string]: string } = {}
  for (const { id } of desk.logs) {
    const blob = blobs.get(id)
    if (blob) files[id] = toBase64(gzipSync(new Uint8Array(await blob.arrayBuffer())))
  }
  const hasLoads = desk.logs.some((log) => log.options.loads !== undefined)
  const version = hasLoads ? DESK_VERSION : PLAIN_VERSION
  return `${JSON.stringify({ format: 'holdwatt-desk', version, desk, files })}\n`
}

/**
 * Opens what `formatDesk` wrote.
 *
 * @throws InputError `desk-not-readable`, `desk-too-new`
 */
export function parseDesk(text: string): { readonly desk: Desk; readonly blobs: ReadonlyMap<string, Blob> } {
  const parsed = fileSchema.safeParse(jsonOf(text))
  if (!parsed.success) {
    throw new InputError('desk-not-readable', 'expected a desk that was saved here, got another file', {
      remedy: 'a log or a sheet is dropped as it is',
    })
  }
  const { version, desk, files } = parsed.data
  if (version > DESK_VERSION) {
    throw new InputError(
      'desk-too-new',
      `expected a desk of version ${DESK_VERSION} or older, got version ${version}`,
      {
        remedy: 'open it with a newer holdwatt desk',
      },
    )
  }
  const blobs = new Map(Object.entries(files).map(([id, packed]) => [id, new Blob([unpacked(packed)])]))
  return { desk: checkedDesk(desk)!, blobs }
}

/** A desk as it was kept; null when it is none. */
export function checkedDesk(value: unknown): Desk | null {
  const parsed = deskSchema.safeParse(value)
  if (!parsed.success) return null
  // Keys that are undefined are absent to whoever reads a log.
  const logs = parsed.data.logs.map((log) => ({ ...log, options: present(log.options) }))
  const sheets = parsed.data.sheets.map(({ asked, ...sheet }) =>
    asked === undefined ? sheet : { ...sheet, asked },
  )
  return { logs, sheets }
}

function present(values: z.output<typeof options>): LogOptions {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined))
}

/** Eight times the largest log that a desk is saved with unpacks no further. */
const MOST_UNPACKED_BYTES = 1e9

function unpacked(packed: string): Uint8Array<ArrayBuffer> {
  try {
    const bytes = Uint8Array.from(atob(packed), (letter) => letter.charCodeAt(0))
    // The last four bytes say how long the text is (RFC 1952, 2.3.1).
    const size = new DataView(bytes.buffer).getUint32(Math.max(0, bytes.length - 4), true)
    if (size > MOST_UNPACKED_BYTES) throw new Error('too large')
    return gunzipSync(bytes) as Uint8Array<ArrayBuffer>
  } catch {
    throw new InputError('desk-not-readable', 'a log in this desk is damaged', {
      remedy: 'drop the logs and sheets that it was made from',
    })
  }
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return null
  }
}

/** In pieces: a function takes only so many arguments. */
function toBase64(bytes: Uint8Array): string {
  let letters = ''
  for (let at = 0; at < bytes.length; at += 32_768)
    letters += String.fromCharCode(...bytes.subarray(at, at + 32_768))
  return btoa(letters)
}
