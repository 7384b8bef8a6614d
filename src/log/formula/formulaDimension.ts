import type { FunctionNode, MathNode, OperatorNode, ParenthesisNode, SymbolNode } from 'mathjs'
import { type Exponents, isSame, PLAIN } from './exponentsOf.js'

/**
 * Exponents of a formula's value. What is added, subtracted or compared must be alike; a zero is like anything.
 *
 * @param tree - a formula that `checkFormula` let pass
 * @param of - exponents of a letter
 * @returns undefined of a lone zero
 * @throws UnlikeUnits
 */
export function formulaDimension(tree: MathNode, of: (letter: string) => Exponents): Exponents | undefined {
  const inner = (node: MathNode) => formulaDimension(node, of)
  switch (tree.type) {
    case 'ConstantNode':
      return Number(tree.toString()) === 0 ? undefined : PLAIN
    case 'SymbolNode':
      return of((tree as SymbolNode).name)
    case 'ParenthesisNode':
      return inner((tree as ParenthesisNode).content)
    case 'FunctionNode': {
      const { fn, args } = tree as FunctionNode
      const all = alike(args, inner)
      return fn.name === 'sqrt' ? all && scaled(all, 0.5) : all
    }
    default:
      return ofOperator(tree as OperatorNode, inner)
  }
}

/** Two parts of a formula that have no sum, as W and V. */
export class UnlikeUnits extends Error {
  constructor(
    readonly first: readonly [MathNode, Exponents],
    readonly second: readonly [MathNode, Exponents],
  ) {
    super('unlike units')
  }
}

type Inner = (node: MathNode) => Exponents | undefined

function ofOperator({ fn, args }: OperatorNode, inner: Inner): Exponents | undefined {
  const [first, second] = args as [MathNode, MathNode | undefined]
  if (second === undefined) return inner(first)
  if ((fn as string) === 'add' || (fn as string) === 'subtract') return alike([first, second], inner)
  const [a, b] = [inner(first) ?? PLAIN, inner(second) ?? PLAIN]
  if ((fn as string) === 'pow') return scaled(a, isSame(a, PLAIN) ? 0 : exponentOf(second))
  const sign = (fn as string) === 'divide' ? -1 : 1
  return [a[0] + sign * b[0], a[1] + sign * b[1], a[2] + sign * b[2]]
}

/** An exponent of a quantity is a number that stands there; anything else gives a unit that nothing has. */
function exponentOf(node: MathNode): number {
  return Number(node.toString().replace(/[()\s]/g, ''))
}

function alike(nodes: readonly MathNode[], inner: Inner): Exponents | undefined {
  let known: readonly [MathNode, Exponents] | undefined
  for (const node of nodes) {
    const exponents = inner(node)
    if (exponents === undefined) continue
    if (known !== undefined && !isSame(known[1], exponents)) throw new UnlikeUnits(known, [node, exponents])
    known ??= [node, exponents]
  }
  return known?.[1]
}

function scaled(exponents: Exponents, by: number): Exponents {
  return [exponents[0] * by, exponents[1] * by, exponents[2] * by]
}
