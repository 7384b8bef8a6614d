import type { ConstantNode, FunctionNode, MathNode, OperatorNode, SymbolNode } from 'mathjs'
import { InputError } from '../../errors.js'
import { plainText } from '../table/plainText.js'

/** Functions that a formula may call. */
export const FORMULA_FUNCTIONS: readonly string[] = ['min', 'max', 'abs', 'sqrt']

const OPERATORS = new Set(['add', 'subtract', 'multiply', 'divide', 'pow', 'unaryMinus', 'unaryPlus'])
/** More than a sum over the cores of a large machine; a bound on the work for each row. */
const MOST_NODES = 200

/**
 * Lets pass what is a sum over numbers and names, and nothing else.
 *
 * @throws InputError `formula-not-allowed` with the part that is not, `formula-too-long` above 200 parts, `formula-empty` without a name
 */
export function checkFormula(
  tree: MathNode,
  formula: { readonly text: string; readonly symbols: ReadonlyMap<string, string> },
): void {
  if (formula.text.trim() === '') throw withoutColumn(formula.text)
  let [nodes, names] = [0, 0]
  tree.traverse((node) => {
    nodes++
    if (nodes > MOST_NODES) {
      throw new InputError('formula-too-long', `expected a formula of at most ${MOST_NODES} parts, got more`)
    }
    if (!isAllowed(node, formula.symbols)) throw notAllowed(node, formula)
    if (node.type === 'SymbolNode' && formula.symbols.has((node as SymbolNode).name)) names++
  })
  if (names === 0) throw withoutColumn(formula.text)
}

function isAllowed(node: MathNode, symbols: ReadonlyMap<string, string>): boolean {
  switch (node.type) {
    case 'ConstantNode':
      return Number.isFinite((node as ConstantNode).value)
    case 'SymbolNode':
      return symbols.has((node as SymbolNode).name) || FORMULA_FUNCTIONS.includes((node as SymbolNode).name)
    case 'ParenthesisNode':
      return true
    case 'OperatorNode':
      return OPERATORS.has((node as OperatorNode).fn)
    case 'FunctionNode':
      return FORMULA_FUNCTIONS.includes((node as FunctionNode).fn.name ?? '')
    default:
      return false
  }
}

function notAllowed(
  node: MathNode,
  { text, symbols }: { readonly text: string; readonly symbols: ReadonlyMap<string, string> },
): InputError {
  const part = node.toString().replace(/\bc\d+\b/g, (symbol) => symbols.get(symbol) ?? symbol)
  return new InputError(
    'formula-not-allowed',
    `expected numbers, columns, + - * / ^, brackets and ${FORMULA_FUNCTIONS.join(', ')} in the formula, got "${plainText(part)}" in "${plainText(text)}"`,
  )
}

function withoutColumn(text: string): InputError {
  return new InputError('formula-empty', `expected a column in the formula, got "${plainText(text)}"`, {
    remedy: 'name a column of the log, as in volts * amps',
  })
}
