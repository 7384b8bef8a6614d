import type { TextMutator } from './mutateText.js'

/** Changes that know a saved desk: damaged logs, bombs, fields of the browser's own, and ids that lead nowhere. */
export const DESK_MUTATORS: { readonly [name: string]: TextMutator } = {
  damagedLog: (text, random) =>
    text.replace(/"l1":"([^"]*)"/, (_all, packed: string) => {
      const at = random.integer(0, packed.length)
      return `"l1":"${packed.slice(0, at)}${random.pick(['', 'A', '!', 'AAAA', '====', '\\u0000'])}${packed.slice(at + random.integer(0, 5))}"`
    }),
  // The last four bytes of a gzip file are the length of what is in it.
  wrongSize: (text, random) =>
    text.replace(/"l1":"([^"]*)"/, (all, packed: string) => {
      const bytes = Buffer.from(packed, 'base64')
      if (bytes.length < 4) return all
      bytes.writeUInt32LE(random.pick([0, 1, 1e6, 9e8, 4_294_967_295]), bytes.length - 4)
      return `"l1":"${bytes.toString('base64')}"`
    }),
  otherIds: (text, random) =>
    text.replaceAll('"l1"', random.pick(['"__proto__"', '""', '"constructor"', '"s1"', '"l2"'])),
  otherSheet: (text, random) =>
    text.replace(
      /"text":"/,
      `"text":"${random.pick(['[[[[', '{a: ', '&a [*a]', '\\u0000', '- ', '%YAML 9\\n', '\\"'])}`,
    ),
  deepSheet: (text, random) =>
    text.replace(/"text":"/, `"text":"${random.pick(['[', '{a: ', '- ']).repeat(random.pick([30, 20_000]))}`),
  versions: (text, random) =>
    text.replace('"version":1', `"version":${random.pick(['0', '2', '1.5', '1e9', '"1"', '-1', 'null'])}`),
}
