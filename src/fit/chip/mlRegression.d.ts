/** The part of ml-regression that is used; the package ships no types. */
declare module 'ml-regression' {
  interface Regression {
    predict(x: number): number
  }
  export class SimpleLinearRegression implements Regression {
    constructor(x: readonly number[], y: readonly number[])
    readonly slope: number
    readonly intercept: number
    predict(x: number): number
  }
  export class PolynomialRegression implements Regression {
    constructor(x: readonly number[], y: readonly number[], degree: number)
    readonly coefficients: readonly number[]
    predict(x: number): number
  }
  export class PowerRegression implements Regression {
    constructor(x: readonly number[], y: readonly number[])
    predict(x: number): number
  }
  export class ExponentialRegression implements Regression {
    constructor(x: readonly number[], y: readonly number[])
    predict(x: number): number
  }
  export class TheilSenRegression implements Regression {
    constructor(x: readonly number[], y: readonly number[])
    predict(x: number): number
  }
}
