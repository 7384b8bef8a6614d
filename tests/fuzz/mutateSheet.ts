import { EXTREME_NUMBERS, PROTOTYPE_KEYS } from './extremes.js'
import { inLines, type TextMutator } from './mutateText.js'

/** Changes that know a sheet for YAML: anchors that explode, keys by birth, tags, wrong shapes, quantities out of range. */
export const SHEET_MUTATORS: { readonly [name: string]: TextMutator } = {
  explodingAnchors: (text, random) => {
    const depth = random.integer(3, 30)
    const levels = Array.from(
      { length: depth },
      (_, i) => `x${i + 1}: &x${i + 1} [*x${i},*x${i},*x${i},*x${i},*x${i}]`,
    )
    return `x0: &x0 [lol,lol,lol]\n${levels.join('\n')}\n${text}`
  },
  anchorInsideItself: (text, random) =>
    text.replace(
      /trials:|workload:/,
      (key) => `${key} &a\n  - *a\n${random.chance(0.5) ? '  <<: *a\n' : ''}`,
    ),
  prototypeKeys: (text, random) =>
    text.replace(/^( *-? *\{? ?)(\w+):/gm, (line, indent, _key) =>
      random.chance(0.1) ? `${indent}${random.pick(PROTOTYPE_KEYS)}:` : line,
    ),
  prototypeLine: (text, random) =>
    `${random.pick(PROTOTYPE_KEYS)}: ${random.pick(['{machine: x}', 'x', '[]'])}\n${text}`,
  tags: (text, random) =>
    text.replace(/: (?=\S)/g, (colon) =>
      random.chance(0.1)
        ? `: ${random.pick(['!!binary', '!!js/function', '!!set', '!!python/object:os.system', '!<x>', '!!float', '!!null'])} `
        : colon,
    ),
  otherValues: (text, random) =>
    text.replace(/: ([^\n{[]+?)(?= ?[,}\n])/g, (pair) =>
      random.chance(0.08) ? `: ${random.pick(VALUES)}` : pair,
    ),
  otherQuantities: (text, random) =>
    text.replace(/(\d+(?:\.\d+)?) (W|s|min|degC)/g, (all, _number, unit) =>
      random.chance(0.1)
        ? `${random.pick(EXTREME_NUMBERS)} ${random.chance(0.5) ? unit : random.pick(['W', 's', 'kW', 'degC', 'K', 'h', 'parsec', ''])}`
        : all,
    ),
  otherScores: (text, random) =>
    text.replace(/score: \d+/g, (score) =>
      random.chance(0.2) ? `score: ${random.pick(EXTREME_NUMBERS)}` : score,
    ),
  keysLost: (text, random) =>
    inLines(text, (lines) => lines.filter((line) => !/^\s*\w+:/.test(line) || !random.chance(0.15))),
  keysRenamed: (text, random) =>
    text.replace(/\b(\w+):/g, (key, name: string) =>
      random.chance(0.05) ? `${name.slice(1)}${name[0]}:` : key,
    ),
  keysTwice: (text, random) =>
    inLines(text, (lines) =>
      lines.flatMap((line) => (/^\w/.test(line) && random.chance(0.3) ? [line, line] : [line])),
    ),
  thousandsOfRuns: (text, random) =>
    text.replace(/(\n\s+- \{[^\n]+\})/, (run) => run.repeat(random.pick([20, 500, 5000]))),
  runsShuffled: (text, random) => {
    const runs = text.match(/\n {6}- \{[^\n]+/g) ?? []
    const order = random.shuffle(runs)
    let next = 0
    return text.replace(/\n {6}- \{[^\n]+/g, () => order[next++] ?? '')
  },
  unitsLost: (text) => text.replace(/(\d) (W|s|min|degC)\b/g, '$1'),
  otherPaths: (text, random) =>
    text.replace(
      /log: \S+/,
      `log: ${random.pick(['../../../../etc/passwd', '/dev/zero', '.', '""', '"a\\0b"', 'file:///etc/passwd', '~', 'x'.repeat(300), '*'])}`,
    ),
  better: (text, random) =>
    text.replace(/better: \w+/, `better: ${random.pick(['lower', 'higher', 'Higher', 'true', '[]', ''])}`),
  tabs: (text) => text.replace(/^ {2}/gm, '\t'),
  manyDocuments: (text) => `%YAML 1.2\n---\n${text}\n...\n---\n${text}`,
  deep: (text, random) =>
    text.replace(/: (?=\w)/, `: ${random.pick(['[', '{a: ', '- ']).repeat(random.pick([20, 2000]))}`),
}

const VALUES = [
  '',
  '[]',
  '{}',
  'null',
  '~',
  '- x',
  '"\\u0000"',
  '|',
  '>-',
  '*x',
  '&x',
  '12:00:00',
  '-5 s',
  '1e308 W',
  '99999 h',
  '0 W',
  '! ',
  '%',
  '@',
  '`',
] as const
