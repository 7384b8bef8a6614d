import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

/** What an example may take for granted: things that its reader has at hand. */
const AT_HAND = new Set(
  'a b chassis chip heron plover machine rows runs sheet stream text trace workload readSheet'.split(' '),
)

interface Example {
  readonly file: string
  readonly code: string
  /** What the comment behind the last line says comes out. */
  readonly said: string | undefined
}

const files = readdirSync('src', { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => `src/${name}`)
  .sort()
const examples = files.flatMap(examplesIn)
const [alone, needing] = parted(examples, ({ code }) => !freeNames(code).some((name) => AT_HAND.has(name)))

describe('the examples in the docstrings', () => {
  it('are many, and few of them take something for granted', () => {
    expect(alone.length).toBeGreaterThan(60)
    expect(needing.length).toBeLessThan(examples.length / 4)
  })

  it.each(
    alone.map(
      (example) => [`${example.file}: ${example.code.replace(/\s+/g, ' ').slice(0, 60)}`, example] as const,
    ),
  )('%s', async (_name, example) => {
    const found = await run(example)
    const said = example.said === undefined ? undefined : literalIn(example.said)
    if (said === undefined) expect(found).toBeDefined()
    else expectSaid(plain(found), said.value, said.text)
  })
})

function examplesIn(file: string): readonly Example[] {
  const comments = readFileSync(file, 'utf8').match(/\/\*\*[\s\S]*?\*\//g) ?? []
  return comments.flatMap((comment) => {
    const text = comment.slice(3, -2).replace(/^\s*\* ?/gm, '')
    const example = /@example\s([\s\S]*?)(?:\n@|$)/.exec(text)?.[1]?.trim()
    if (example === undefined) return []
    const last = /^([\s\S]*?)\s*\/\/ (.*)$/.exec(example)
    return [{ file, code: last?.[1] ?? example, said: last?.[2] }]
  })
}

/** Runs an example with all exports of its module, and of the others, in scope; the last statement is what comes out. */
async function run({ file, code }: Example): Promise<unknown> {
  const scope: Record<string, unknown> = {}
  for (const name of freeNames(code)) {
    for (const found of files.filter((path) => path.endsWith(`/${name}.ts`)))
      Object.assign(scope, await load(found))
  }
  Object.assign(scope, await load(file))
  const script = code.replaceAll(/([\w)\]])!(?=[.[;,)\s]|$)/g, '$1')
  const lines = script.split('\n')
  const begins = lines.findLastIndex((line) => /^\S/.test(line) && !/^[)}\]]/.test(line))
  const body = [...lines.slice(0, begins), `return (${lines.slice(begins).join('\n')})`].join('\n')
  return new Function(...Object.keys(scope), body)(...Object.values(scope))
}

function load(file: string): Promise<Readonly<Record<string, unknown>>> {
  return import(new URL(`../${file}`, import.meta.url).href)
}

function freeNames(code: string): readonly string[] {
  const words = code.replaceAll(/'(?:[^'\\]|\\.)*'/g, "''").match(/(?<![\w.])[A-Za-z]\w*(?!\s*:)/g) ?? []
  return [...new Set(words)]
}

/** The literal that a remark begins with, if it begins with one. */
function literalIn(said: string): { readonly value: unknown; readonly text: string } | undefined {
  const text =
    /^(?:Float64Array )?(\[.*?\](?=$|[: ])|\{.*\}|'(?:[^'\\]|\\.)*'|-?\d[\d.e-]*(?=$|\s(?!to))|true|false)/.exec(
      said,
    )?.[1]
  if (text === undefined || text.includes('...')) return undefined
  return { value: new Function(`return (${text})`)(), text }
}

/** Numbers are compared to the last digit that the example prints. */
function expectSaid(found: unknown, said: unknown, text: string): void {
  if (typeof said === 'number') {
    const decimals = Math.min(12, /\.(\d+)/.exec(text)?.[1]?.length ?? 0)
    expect(Math.abs(Number(found) - said)).toBeLessThanOrEqual(0.51 * 10 ** -decimals)
  } else if (Array.isArray(said) && said.every((value) => typeof value === 'number')) {
    const values = found as readonly number[]
    expect(values).toHaveLength(said.length)
    for (const [i, value] of said.entries()) expectSaid(values[i], value, String(value))
  } else if (typeof said === 'string') expect(String(found).replaceAll('\u00a0', ' ')).toBe(said)
  else expect(found).toEqual(said)
}

function plain(value: unknown): unknown {
  return ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value
}

function parted<T>(
  values: readonly T[],
  isFirst: (value: T) => boolean,
): readonly [readonly T[], readonly T[]] {
  return [values.filter(isFirst), values.filter((value) => !isFirst(value))]
}
