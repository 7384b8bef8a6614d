import { EXTREME_NUMBERS, PROTOTYPE_KEYS } from './extremes.js'
import type { TextMutator } from './mutateText.js'

/** Changes that know a formula: operators, brackets, names by birth, units, calls, and what a language would take for more. */
export const FORMULA_MUTATORS: { readonly [name: string]: TextMutator } = {
  otherOperators: (text, random) =>
    text.replace(/[-+*/^]/g, () =>
      random.pick(['+', '-', '*', '/', '^', '^^', '%', '==', '=', ',', ';', ':', '.*', "'"]),
    ),
  otherNames: (text, random) =>
    text.replace(/\b[a-z]{2,}\b/gi, (name) =>
      random.chance(0.4)
        ? random.pick([
            ...PROTOTYPE_KEYS,
            'W',
            'mW',
            'V',
            'A',
            's',
            'pi',
            'e',
            'Infinity',
            'volts',
            'wall',
            '#2',
            '""',
          ])
        : name,
    ),
  otherNumbers: (text, random) => text.replace(/\d+(\.\d+)?/g, () => random.pick(EXTREME_NUMBERS)),
  inBrackets: (text, random) => {
    const depth = random.pick([1, 3, 40, 140])
    return `${'('.repeat(depth)}${text}${')'.repeat(random.chance(0.8) ? depth : depth - 1)}`
  },
  joined: (text, random) =>
    `${text} ${random.pick(['+', '*', '/', '^', '-', ''])} ${random.pick(['0', 'wall', '1e308', 'cpu - cpu', '(', '2 W', text])}`,
  repeated: (text, random) =>
    Array(random.pick([2, 5, 30]))
      .fill(text)
      .join(random.pick([' + ', ' * ', ' ^ ', ' '])),
  called: (text, random) =>
    `${random.pick(['sqrt', 'abs', 'min', 'max', 'eval', 'import', 'f', 'constructor', 'min()+max'])}(${text})`,
  afterwards: (text, random) =>
    text +
    random.pick(['.constructor', '[0]', '!', '; 1', '=3', ' ? 1 : 2', '\n+1', '#x', '"', ' in W', " '"]),
  powers: (text, random) => `(${text})^${random.pick(['9999', '-9999', '0.5', 'wall', '2^2^2^2^2', '-1'])}`,
}
