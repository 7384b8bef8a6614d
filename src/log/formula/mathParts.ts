import {
  absDependencies,
  addDependencies,
  create,
  divideDependencies,
  maxDependencies,
  minDependencies,
  multiplyDependencies,
  parseDependencies,
  powDependencies,
  sqrtDependencies,
  subtractDependencies,
  unaryMinusDependencies,
  unaryPlusDependencies,
} from 'mathjs/number'

/** An evaluator of sums over plain numbers, with nothing in it that reads, writes, imports or defines. */
export function createMath() {
  return create({
    absDependencies: absDependencies!,
    addDependencies: addDependencies!,
    divideDependencies: divideDependencies!,
    maxDependencies: maxDependencies!,
    minDependencies: minDependencies!,
    multiplyDependencies: multiplyDependencies!,
    parseDependencies: parseDependencies!,
    powDependencies: powDependencies!,
    sqrtDependencies: sqrtDependencies!,
    subtractDependencies: subtractDependencies!,
    unaryMinusDependencies: unaryMinusDependencies!,
    unaryPlusDependencies: unaryPlusDependencies!,
  })
}
