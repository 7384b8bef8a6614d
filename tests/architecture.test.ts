import { readdirSync, readFileSync } from 'node:fs'
import { basename, dirname, join, relative, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { describe, expect, it } from 'vitest'

const src = fileURLToPath(new URL('../src', import.meta.url))

/** Rooms in the order of data flow: a room imports from itself and from rooms before it. */
const ROOMS = [
  'errors',
  'warnings',
  'units',
  'numeric',
  'physics',
  'log',
  'segment',
  'fit',
  'files',
  'sheet',
  'model',
  'machine',
  'predict',
  'audit',
  'record',
  'show',
  'desk',
  'cli',
  'browser',
  'index',
]

/**
 * What stands in a room, in the order of data flow: sub-rooms by name, and single files that sub-rooms build on or that build on them.
 * Files of a room that are not named here come after all of its sub-rooms.
 */
const SUB_ROOMS: { readonly [room: string]: readonly string[] } = {
  numeric: ['.', 'statistics', 'leastSquares', 'changePoints'],
  physics: ['chip', 'chassis', 'loop'],
  log: ['trace.ts', 'table', 'formula', 'time', 'reasons', 'columns', 'rows', 'repair', '.'],
  segment: ['indexRange.ts', 'load.ts', 'loads', 'cut', 'stages', 'settled', '.'],
  fit: ['rate', 'chip', 'chassis'],
  'fit/chip': ['prior', '.'],
  predict: ['projection', 'comparison', 'gap', 'plan', 'overview', 'review'],
  record: ['sensors', 'session'],
  sheet: ['.', 'draft'],
  machine: ['chooseLoads.ts', 'runs', '.', 'review'],
  show: ['figures', 'text', 'tables', 'terminal', 'charts', 'page'],
  'show/charts': ['.', 'trace'],
  'show/terminal': ['.', 'draft', 'stages'],
  'show/page': ['pageScript.ts', 'whatIf', '.', 'review'],
  desk: ['work', 'state', 'reach', 'trace', 'view', '.'],
  cli: ['context.ts', 'output', 'options', 'archive', 'record', 'draft', 'commands', '.'],
  'cli/archive': ['paths', 'workers', '.'],
}

/** Files that a room or sub-room may hold; one that needs more wants to be two. */
const MOST_FILES = 21

/** Rooms whose files are also bundled into the report page, where there is no Node. */
const PAGE_ROOMS = ['errors', 'warnings', 'units', 'numeric', 'physics', 'predict']

const FORBIDDEN_NAMES = /^(utils?|helpers?|common|types?|constants?|misc|shared|lib|index)$/i

/** Exported values that no file of src takes from another, each with its reason. */
const TAKEN_BY_TESTS: { readonly [value: string]: string } = {
  'cli/archive/archiveAnswers.ts openWorkers': 'threads that die and hang, without an archive',
  'cli/archive/archiveTasks.ts tellWalking': 'what a long walk says, without a long walk',
  'cli/archive/workers/answerTasks.ts answerTasks': 'the entry of a thread',
  'desk/readDesk.ts deskOfParts': 'the build makes the file by it',
  'desk/startDesk.tsx startDesk': 'the entry of the desk',
  'fit/chassis/fitThermalNetwork.ts fitThermalNetwork': 'published networks have no load',
  'numeric/statistics/studentT.ts studentTProbability': 'the inverse of the quantile',
  'physics/chip/voltageFloor.ts clockAtPower': 'the inverse of powerAtClock',
  'physics/chip/voltageFloor.ts powerAtClock': 'the inverse of clockAtPower',
  'predict/plan/planSettling.ts drawMachines': 'machines on which the fuzzer found loops without end',
  'segment/cut/summariseCells.ts tauGrid': 'the grid that a search by brute force shares',
  'show/charts/chartTheme.ts OKABE_ITO': 'the published palette',
}

const files = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((path) => /\.tsx?$/.test(path) && !path.endsWith('.d.ts'))
  .sort()

const sources = new Map(files.map((path) => [path, readFileSync(join(src, path), 'utf8')]))

/** What several tests ask of a file, worked out once. */
function oncePerFile<Found>(look: (path: string) => Found): (path: string) => Found {
  const found = new Map<string, Found>()
  return (path) => {
    const known = found.get(path) ?? look(path)
    found.set(path, known)
    return known
  }
}

const parsed = oncePerFile((path) =>
  ts.createSourceFile(path, sources.get(path)!, ts.ScriptTarget.ES2023, true),
)

/** Every import of a file: static, re-exported, type-only and dynamic alike. */
const importsOf = oncePerFile((path): string[] => {
  const source = sources.get(path)!
  const found = ts.preProcessFile(source, true, true).importedFiles.map((file) => file.fileName)
  // Types named as import('…').Name are not reported by the scanner.
  const inTypes = [...source.matchAll(/\bimport\(\s*['"]([^'"]+)['"]\s*\)/g)].map((match) => match[1]!)
  return [...new Set([...found, ...inTypes])]
})

/** The file of this project that an import leads to, relative to src; undefined for packages. */
function targetOf(path: string, specifier: string): string | undefined {
  if (!specifier.startsWith('.')) return undefined
  const target = relative(src, resolve(src, dirname(path), specifier)).replace(/\.js$/, '.ts')
  return files.includes(`${target}x`) ? `${target}x` : target
}

function roomOf(path: string): string {
  return path.includes('/') ? path.split('/')[0]! : basename(path, '.ts')
}

/** The innermost folder that holds both files, relative to src; '' when that is src itself. */
function sharedRoom(path: string, target: string): string {
  const [a, b] = [dirname(path).split('/'), dirname(target).split('/')]
  const length = a.findIndex((part, index) => part !== b[index])
  return (length < 0 ? a : a.slice(0, length)).join('/')
}

/** How late a file comes in a room: the place of its own name, else of its sub-room, else of the room's single files. */
function placeIn(places: readonly string[], room: string, path: string): number {
  const [first] = relative(room, path).split('/')
  const own = places.indexOf(first!)
  return own >= 0 ? own : places.indexOf('.')
}

function localImports(path: string): string[] {
  return importsOf(path).flatMap((specifier) => targetOf(path, specifier) ?? [])
}

function mentions(path: string, names: readonly string[]): string[] {
  const file = parsed(path)
  const found: string[] = []
  const visit = (node: ts.Node): void => {
    if (ts.isIdentifier(node) && names.includes(node.text) && !isMemberName(node)) found.push(node.text)
    ts.forEachChild(node, visit)
  }
  visit(file)
  return found
}

function isMemberName(node: ts.Identifier): boolean {
  const { parent } = node
  if (ts.isPropertyAccessExpression(parent)) return parent.name === node
  return (ts.isPropertyAssignment(parent) || ts.isPropertySignature(parent)) && parent.name === node
}

function isValue(statement: ts.Statement): boolean {
  return !ts.isInterfaceDeclaration(statement) && !ts.isTypeAliasDeclaration(statement)
}

function exportedNames(path: string, counts = (_: ts.Statement) => true): string[] {
  const file = parsed(path)
  return file.statements.flatMap((statement) => {
    const modifiers = ts.canHaveModifiers(statement) ? (ts.getModifiers(statement) ?? []) : []
    if (!modifiers.some((modifier) => modifier.kind === ts.SyntaxKind.ExportKeyword)) return []
    if (!counts(statement)) return []
    if (modifiers.some((modifier) => modifier.kind === ts.SyntaxKind.DefaultKeyword)) return ['default']
    if (ts.isVariableStatement(statement))
      return statement.declarationList.declarations.map((d) => d.name.getText())
    const name = (statement as ts.Statement & { readonly name?: ts.Identifier }).name
    return name === undefined ? [] : [name.text]
  })
}

/** Names that a file takes from others, as `file name`. */
function takenNames(path: string): string[] {
  const source = sources.get(path)!
  const { statements } = parsed(path)
  const byStatements = statements.flatMap((statement) => {
    if (!ts.isImportDeclaration(statement) && !ts.isExportDeclaration(statement)) return []
    const from = statement.moduleSpecifier
    const target = from && ts.isStringLiteral(from) ? targetOf(path, from.text) : undefined
    const names = ts.isImportDeclaration(statement)
      ? statement.importClause?.namedBindings
      : statement.exportClause
    if (!target || !names || !('elements' in names)) return []
    return names.elements.map((element) => `${target} ${(element.propertyName ?? element.name).text}`)
  })
  // What a file mentions it may take from a module that it loads while it runs.
  const loaded = [...source.matchAll(/import\(\s*['"]([^'"]+)['"]\s*\)/g)].flatMap((match) => {
    const target = targetOf(path, match[1]!)
    if (target === undefined || !sources.has(target)) return []
    return exportedNames(target).flatMap((name) => (source.includes(name) ? [`${target} ${name}`] : []))
  })
  return [...byStatements, ...loaded]
}

describe('the house', () => {
  it('has source files in known rooms only', () => {
    expect(files.length).toBeGreaterThan(50)
    expect(files.filter((path) => !ROOMS.includes(roomOf(path)))).toEqual([])
  })

  it('lets a room import from itself and from rooms before it, never from later ones', () => {
    const backward = files.flatMap((path) =>
      localImports(path)
        .filter((target) => ROOMS.indexOf(roomOf(target)) > ROOMS.indexOf(roomOf(path)))
        .map((target) => `${path} imports ${target}`),
    )
    expect(backward).toEqual([])
  })

  it('orders what stands in a room like the rooms themselves', () => {
    const backward = files.flatMap((path) =>
      localImports(path).flatMap((target) => {
        const room = sharedRoom(path, target)
        const places = SUB_ROOMS[room]
        if (!places) return []
        return placeIn(places, room, target) > placeIn(places, room, path)
          ? [`${path} imports ${target}`]
          : []
      }),
    )
    expect(backward).toEqual([])
  })

  it('names the order of every room that has rooms in it', () => {
    const parents = [...new Set(files.map((path) => dirname(path)))]
      .filter((folder) => folder.includes('/'))
      .map((folder) => ({ room: dirname(folder), sub: basename(folder) }))
    expect(parents.filter(({ room, sub }) => !SUB_ROOMS[room]?.includes(sub))).toEqual([])
  })

  it('keeps rooms and sub-rooms small enough to know', () => {
    const counts = new Map<string, number>()
    for (const path of files) counts.set(dirname(path), (counts.get(dirname(path)) ?? 0) + 1)
    expect([...counts].filter(([, count]) => count > MOST_FILES)).toEqual([])
  })

  it('imports only files that exist', () => {
    const missing = files.flatMap((path) =>
      localImports(path)
        .filter((target) => /\.tsx?$/.test(target) && !sources.has(target))
        .map((target) => `${path} imports ${target}`),
    )
    expect(missing).toEqual([])
  })

  it('has no circle of imports', () => {
    const done = new Set<string>()
    const circles: string[] = []
    const visit = (path: string, trail: readonly string[]): void => {
      if (trail.includes(path)) {
        circles.push([...trail.slice(trail.indexOf(path)), path].join(' -> '))
        return
      }
      if (done.has(path)) return
      for (const target of localImports(path)) if (sources.has(target)) visit(target, [...trail, path])
      done.add(path)
    }
    for (const path of files) visit(path, [])
    expect(circles).toEqual([])
  })

  it('touches console and process in cli only', () => {
    const touching = files
      .filter((path) => roomOf(path) !== 'cli')
      .filter(
        (path) =>
          mentions(path, ['console', 'process']).length > 0 ||
          importsOf(path).some((specifier) => specifier.replace('node:', '') === 'process'),
      )
    expect(touching).toEqual([])
  })

  it('touches the disk only in files whose names begin with read or write', () => {
    const touching = files
      .filter((path) => !/^(read|write)/.test(basename(path)))
      .filter((path) => importsOf(path).some((specifier) => /^(node:)?fs(\/promises)?$/.test(specifier)))
    expect(touching).toEqual([])
  })

  it('keeps the rooms that the page bundles free of Node', () => {
    const bound = files
      .filter((path) => PAGE_ROOMS.includes(roomOf(path)))
      .flatMap((path) =>
        importsOf(path)
          .filter((specifier) => specifier.startsWith('node:'))
          .map((specifier) => `${path} imports ${specifier}`),
      )
    expect(bound).toEqual([])
  })

  it('names each file after its main export and exports by name only', () => {
    const wrong = files
      .filter(
        (path) =>
          !['cli/main.ts', 'index.ts', 'browser.ts', 'errors.ts', 'warnings.ts', 'units.ts'].includes(path),
      )
      // A formula shares its file with its inverse and its kin: such a file is named after what they are about.
      .filter((path) => !['physics', 'numeric'].includes(roomOf(path)))
      .filter((path) => {
        const name = basename(path).replace(/\.tsx?$/, '')
        const exported = exportedNames(path)
        return exported.includes('default') || !exported.some((each) => isNamedAfter(name, each))
      })
    expect(wrong).toEqual([])
  })

  it('has no file or folder that is named for nothing', () => {
    const vague = files.filter(
      (path) =>
        path !== 'index.ts' &&
        path.split('/').some((part) => FORBIDDEN_NAMES.test(part.replace(/\.tsx?$/, ''))),
    )
    expect(vague).toEqual([])
  })

  it('keeps files within 250 lines', () => {
    const long = files.filter((path) => sources.get(path)!.split('\n').length > 251)
    expect(long).toEqual([])
  })

  it('has no two types with one name', () => {
    const homes = new Map<string, string[]>()
    for (const path of files) {
      const { statements } = parsed(path)
      for (const statement of statements) {
        const isType =
          ts.isInterfaceDeclaration(statement) ||
          ts.isTypeAliasDeclaration(statement) ||
          ts.isClassDeclaration(statement)
        const name = isType ? statement.name?.text : undefined
        if (name !== undefined) homes.set(name, [...(homes.get(name) ?? []), path])
      }
    }
    expect([...homes].filter(([, paths]) => paths.length > 1)).toEqual([])
  })

  it('exports only values that another file takes, save those with a written reason', () => {
    const taken = new Set(files.flatMap(takenNames))
    const left = files
      .filter((path) => !['index.ts', 'browser.ts'].includes(path))
      .flatMap((path) => exportedNames(path, isValue).map((name) => `${path} ${name}`))
      .filter((value) => !taken.has(value))
    expect(left.filter((value) => !(value in TAKEN_BY_TESTS))).toEqual([])
    expect(Object.keys(TAKEN_BY_TESTS).filter((value) => !left.includes(value))).toEqual([])
  })

  it('leaves index.ts to callers: nothing in src imports it', () => {
    expect(files.filter((path) => localImports(path).includes('index.ts'))).toEqual([])
  })
})

/** Equal, or made of the file's words: `stages.ts` holds `stagesCommand`, `chartTrace.ts` holds `traceChart`. */
function isNamedAfter(file: string, exported: string): boolean {
  const words = (name: string) => name.split(/(?=[A-Z])/).map((word) => word.toLowerCase().replace(/s$/, ''))
  const known = words(exported)
  return (
    exported === file ||
    exported === `${file}Command` ||
    words(file).some((word) => word.length > 3 && known.includes(word))
  )
}
