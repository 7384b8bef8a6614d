import {
  Composer,
  type CST,
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  LineCounter,
  type Node,
  Parser,
  YAMLParseError,
} from 'yaml'
import { InputError, type InputLocation } from '../errors.js'

/** A YAML value whose scalars are all text as written: `15210`, `12 s` and `Heron 14` stay strings. */
export type YamlValue = string | readonly YamlValue[] | { readonly [key: string]: YamlValue }

export interface YamlTree {
  readonly value: YamlValue
  /** Line and column of the value at a path; of its nearest known parent when the path leads nowhere. */
  locate(path: readonly PropertyKey[]): InputLocation
  /** Line and column of the key that a path ends with. */
  locateKey(path: readonly PropertyKey[]): InputLocation
}

/**
 * Reads YAML into text values with their places, so that a wrong value can be shown with its line and column.
 *
 * Scalars are not interpreted (YAML's failsafe schema): `07` or `1e3` in a name stays as written, and quantities are
 * parsed with their units by whoever needs them. Hostile text cannot hang or crash it: size, nesting, number of
 * values and number of aliases are limited before anything recursive looks at them.
 *
 * @param text - YAML, at most {@link LARGEST_SHEET_CHARACTERS} characters
 * @param file - its name, for messages
 * @throws InputError `sheet-too-large`, `sheet-too-deep`, `yaml-invalid`, `yaml-key-repeated`
 * @source YAML 1.2.2, section 10.1 (failsafe schema)
 */
export function parseYamlTree(text: string, file: string): YamlTree {
  const lines = new LineCounter()
  // Repeated keys are found below in linear time; the parser's own check is quadratic.
  const document = documentOf(text, harmlessTokens(text, file, lines), {
    schema: 'failsafe',
    uniqueKeys: false,
  })
  const place = (offset: number | undefined): InputLocation => {
    const { line, col } = lines.linePos(offset ?? 0)
    return { file, line: Math.max(1, line), column: Math.max(1, col) }
  }
  const fault = document.errors[0]
  if (fault !== undefined) {
    const message = `this is not valid YAML: ${fault.message.replace(/\s+/g, ' ')}`
    throw new InputError('yaml-invalid', message, { where: place(fault.pos[0]), remedy: YAML_REMEDY })
  }
  const walk: Walk = { document, place, places: new Map(), keyPlaces: new Map(), values: 0, aliases: 0 }
  const value = plainValue(document.contents, [], walk)
  const locate = (path: readonly PropertyKey[]) => nearestPlace(walk.places, path) ?? place(0)
  return { value, locate, locateKey: (path) => walk.keyPlaces.get(pathKey(path)) ?? locate(path) }
}

/** 64 KiB: a sheet of five hundred runs needs half of it, and the parser's time grows with the square of some texts. */
const LARGEST_SHEET_CHARACTERS = 65_536

const DEEPEST_NESTING = 24
/** Collections that are open at once, the document and a scalar; the composer's own recursion bears many times as much. */
const DEEPEST_STACK = DEEPEST_NESTING + 4
const MOST_VALUES = 10_000
const MOST_ALIASES = 100
const YAML_REMEDY =
  'indent with spaces, put one `key: value` on a line, and quote a text that holds `: ` or `#`'

interface Walk {
  readonly document: Document
  readonly place: (offset: number | undefined) => InputLocation
  readonly places: Map<string, InputLocation>
  readonly keyPlaces: Map<string, InputLocation>
  values: number
  aliases: number
}

/**
 * The document of a sheet, for who changes it and keeps its comments; whether it is right is told by whoever reads it.
 *
 * @returns null for text that is no YAML, or that would hang or crash who reads it
 */
export function sheetDocument(text: string): Document | null {
  let tokens: readonly CST.Token[]
  try {
    tokens = harmlessTokens(text, '', new LineCounter())
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    return null
  }
  const document = documentOf(text, tokens)
  return document.errors.length === 0 ? document : null
}

/** Nesting is judged while the text is taken apart, which needs no recursion; the composer that follows recurses with it. */
function harmlessTokens(text: string, file: string, lines: LineCounter): readonly CST.Token[] {
  if (text.length > LARGEST_SHEET_CHARACTERS) {
    const message = `a test sheet has at most ${LARGEST_SHEET_CHARACTERS} characters, this has ${text.length}`
    const remedy = 'is this a log rather than a sheet? A sheet names its logs under `trials:`'
    throw new InputError('sheet-too-large', message, { where: { file }, remedy })
  }
  lines.addNewLine(0)
  const parser = new Parser(lines.addNewLine)
  const tokens: CST.Token[] = []
  let line = 1
  for (const lexeme of new Lexer().lex(text)) {
    tokens.push(...parser.next(lexeme))
    if (parser.stack.length > DEEPEST_STACK) throw tooDeep({ file, line })
    for (let at = lexeme.indexOf('\n'); at !== -1; at = lexeme.indexOf('\n', at + 1)) line += 1
  }
  return [...tokens, ...parser.end()]
}

/** What `parseDocument` makes of a text, of tokens that it would take apart anew; without excerpts, which take the square of some texts' length. */
function documentOf(text: string, tokens: readonly CST.Token[], options: DocumentOptions = {}): Document {
  const [document, other] = new Composer(options).compose(tokens, true, text.length)
  if (other !== undefined)
    document!.errors.push(
      new YAMLParseError([other.range[0], other.range[1]], 'MULTIPLE_DOCS', SEVERAL_DOCUMENTS),
    )
  return document!
}

type DocumentOptions = ConstructorParameters<typeof Composer>[0]

const SEVERAL_DOCUMENTS = 'a sheet is one document, and here another begins'

function plainValue(node: unknown, path: readonly PropertyKey[], walk: Walk): YamlValue {
  const start = (node as Node | null)?.range?.[0]
  const where = walk.place(start)
  if (start !== undefined) walk.places.set(pathKey(path), where)
  walk.values += 1
  if (walk.values > MOST_VALUES) {
    const message = `a test sheet has at most ${MOST_VALUES} values, this has more`
    throw new InputError('sheet-too-large', message, { where, remedy: 'split the sheet into several' })
  }
  if (path.length > DEEPEST_NESTING) throw tooDeep(where)
  if (isAlias(node)) {
    walk.aliases += 1
    const target = walk.aliases > MOST_ALIASES ? undefined : node.resolve(walk.document)
    if (target !== undefined) return plainValue(target, path, walk)
    const message = `at most ${MOST_ALIASES} aliases (\`*name\`) are followed, each to an anchor before it`
    throw new InputError('yaml-invalid', message, { where, remedy: 'write the value out' })
  }
  if (isSeq(node)) return node.items.map((item, index) => plainValue(item, [...path, index], walk))
  if (isMap(node)) return plainMap(node.items, path, walk)
  return isScalar(node) ? String(node.value ?? '') : ''
}

function plainMap(
  pairs: readonly { key: unknown; value: unknown }[],
  path: readonly PropertyKey[],
  walk: Walk,
) {
  const entries = new Map<string, YamlValue>()
  for (const pair of pairs) {
    const key = isScalar(pair.key) ? String(pair.key.value ?? '') : ''
    const where = walk.place((pair.key as Node | null)?.range?.[0])
    if (entries.has(key)) {
      const message = `the key \`${key}\` stands twice in the same place`
      throw new InputError('yaml-key-repeated', message, { where, remedy: 'keep one of the two' })
    }
    walk.places.set(pathKey([...path, key]), where)
    entries.set(key, plainValue(pair.value, [...path, key], walk))
    walk.keyPlaces.set(pathKey([...path, key]), where)
  }
  return Object.fromEntries(entries)
}

function tooDeep(where: InputLocation): InputError {
  const message = `a test sheet is nested at most ${DEEPEST_NESTING} levels deep, this is deeper`
  return new InputError('sheet-too-deep', message, {
    where,
    remedy: 'compare it with the example in the README',
  })
}

function nearestPlace(places: ReadonlyMap<string, InputLocation>, path: readonly PropertyKey[]) {
  for (let length = path.length; length >= 0; length--) {
    const place = places.get(pathKey(path.slice(0, length)))
    if (place !== undefined) return place
  }
  return undefined
}

function pathKey(path: readonly PropertyKey[]): string {
  return JSON.stringify(path.map(String))
}
