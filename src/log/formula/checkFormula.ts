import type { ConstantNode, FunctionNode, MathNode, OperatorNode, SymbolNode } from 'mathjs'
import { InputError } from '../../errors.js'
import { plainText } from '../table/plainText.js'
import { type NamedFormula, withNames } from './formulaNames.js'

/** Functions that a formula may call. */
export const FORMULA_FUNCTIONS: readonly string[] = ['min', 'max', 'abs', 'sqrt']

const OPERATORS = new Set(['add', 'subtract', 'multiply', 'divide', 'pow', 'unaryMinus', 'unaryPlus'])
/** More than a sum over the cores of a large machine; a bound on the work for each row. */
const MOST_NODES = 200
/** Deeper than any sum that a person writes. */
const DEEPEST = 20

/**
 * Lets pass what is a sum over numbers and names, and nothing else.
 *
 * @throws InputError `formula-not-allowed` with the part that is not, `formula-too-long` above 200 parts or 20 brackets deep, `formula-empty`
 * without a name
 */
export function checkFormula(tree: MathNode, formula: NamedFormula & { readonly text: string }): void {
  if (formula.names.size === 0) throw withoutColumn(formula.text)
  let nodes = 0
  const visit = (node: MathNode, depth: number): void => {
    nodes++
    if (nodes > MOST_NODES) throw tooLong(`${MOST_NODES} parts`)
    if (depth > DEEPEST) throw tooLong(`${DEEPEST} brackets within each other`)
    if (!isAllowed(node, formula)) throw notAllowed(node, formula)
    node.forEach((child) => {
      visit(child, depth + 1)
    })
  }
  visit(tree, 0)
}

function isAllowed(node: MathNode, { names, units }: NamedFormula): boolean {
  switch (node.type) {
    case 'ConstantNode':
      return Number.isFinite((node as ConstantNode).value)
    case 'SymbolNode': {
      const { name } = node as SymbolNode
      return names.has(name) || units.has(name) || FORMULA_FUNCTIONS.includes(name)
    }
    case 'ParenthesisNode':
      return true
    case 'OperatorNode':
      return isOperation(node as OperatorNode, units)
    case 'FunctionNode':
      return isCall(node as FunctionNode)
    default:
      return false
  }
}

/** A function that is known, with as many values as it takes: `min` and `max` any, the others one. */
function isCall({ fn, args }: FunctionNode): boolean {
  const { name } = fn
  if (name === 'min' || name === 'max') return args.length > 0
  return FORMULA_FUNCTIONS.includes(name ?? '') && args.length === 1
}

/** A product without a sign is a number with its unit. */
function isOperation(node: OperatorNode, units: NamedFormula['units']): boolean {
  if (!OPERATORS.has(node.fn)) return false
  const last = node.args.at(-1)
  return !node.implicit || (last?.type === 'SymbolNode' && units.has((last as SymbolNode).name))
}

function notAllowed(node: MathNode, formula: NamedFormula & { readonly text: string }): InputError {
  const part = withNames(node.toString(), formula)
  return new InputError(
    'formula-not-allowed',
    `expected numbers, columns, + - * / ^, brackets and ${FORMULA_FUNCTIONS.join(', ')} in the formula, got "${plainText(part)}" in "${plainText(formula.text)}"`,
    { remedy: 'put a column’s name in double quotes where it is more than one word' },
  )
}

function tooLong(most: string): InputError {
  return new InputError('formula-too-long', `expected a formula of at most ${most}, got more`, {
    remedy: 'write a shorter one, or add a column to the log',
  })
}

function withoutColumn(text: string): InputError {
  return new InputError('formula-empty', `expected a column in the formula, got "${plainText(text)}"`, {
    remedy: 'name a column of the log, as in volts * amps',
  })
}
