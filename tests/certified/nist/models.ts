/** The models of the NIST nonlinear sets, as their pages print them; `x` is a row's predictors, `b` the parameters. */
export const models: Readonly<Record<string, (b: ArrayLike<number>, x: readonly number[]) => number>> = {
  Misra1a: rise,
  BoxBOD: rise,
  Chwirut1: chwirut,
  Chwirut2: chwirut,
  Lanczos1: lanczos,
  Lanczos2: lanczos,
  Lanczos3: lanczos,
  Gauss1: gauss,
  Gauss2: gauss,
  Gauss3: gauss,
  Hahn1: cubicRatio,
  Thurber: cubicRatio,
  DanWood: (b, [x]) => b[0]! * x! ** b[1]!,
  Misra1b: (b, [x]) => b[0]! * (1 - (1 + (b[1]! * x!) / 2) ** -2),
  Misra1c: (b, [x]) => b[0]! * (1 - (1 + 2 * b[1]! * x!) ** -0.5),
  Misra1d: (b, [x]) => b[0]! * b[1]! * x! * (1 + b[1]! * x!) ** -1,
  Kirby2: (b, [x]) => (b[0]! + b[1]! * x! + b[2]! * x! ** 2) / (1 + b[3]! * x! + b[4]! * x! ** 2),
  Nelson: (b, [x1, x2]) => b[0]! - b[1]! * x1! * Math.exp(-b[2]! * x2!),
  MGH17: (b, [x]) => b[0]! + b[1]! * Math.exp(-x! * b[3]!) + b[2]! * Math.exp(-x! * b[4]!),
  Roszman1: (b, [x]) => b[0]! - b[1]! * x! - Math.atan(b[2]! / (x! - b[3]!)) / Math.PI,
  ENSO: enso,
  MGH09: (b, [x]) => (b[0]! * (x! ** 2 + x! * b[1]!)) / (x! ** 2 + x! * b[2]! + b[3]!),
  Rat42: (b, [x]) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x!)),
  MGH10: (b, [x]) => b[0]! * Math.exp(b[1]! / (x! + b[2]!)),
  Eckerle4: (b, [x]) => (b[0]! / b[1]!) * Math.exp(-0.5 * ((x! - b[2]!) / b[1]!) ** 2),
  Rat43: (b, [x]) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x!)) ** (1 / b[3]!),
  Bennett5: (b, [x]) => b[0]! * (b[1]! + x!) ** (-1 / b[2]!),
}

function rise(b: ArrayLike<number>, [x]: readonly number[]): number {
  return b[0]! * (1 - Math.exp(-b[1]! * x!))
}

function chwirut(b: ArrayLike<number>, [x]: readonly number[]): number {
  return Math.exp(-b[0]! * x!) / (b[1]! + b[2]! * x!)
}

function lanczos(b: ArrayLike<number>, [x]: readonly number[]): number {
  return b[0]! * Math.exp(-b[1]! * x!) + b[2]! * Math.exp(-b[3]! * x!) + b[4]! * Math.exp(-b[5]! * x!)
}

function gauss(b: ArrayLike<number>, [x]: readonly number[]): number {
  const first = b[2]! * Math.exp(-((x! - b[3]!) ** 2) / b[4]! ** 2)
  const second = b[5]! * Math.exp(-((x! - b[6]!) ** 2) / b[7]! ** 2)
  return b[0]! * Math.exp(-b[1]! * x!) + first + second
}

function cubicRatio(b: ArrayLike<number>, [x]: readonly number[]): number {
  const top = b[0]! + b[1]! * x! + b[2]! * x! ** 2 + b[3]! * x! ** 3
  return top / (1 + b[4]! * x! + b[5]! * x! ** 2 + b[6]! * x! ** 3)
}

function enso(b: ArrayLike<number>, [x]: readonly number[]): number {
  const turn = 2 * Math.PI * x!
  const wave = (cosine: number, sine: number, period: number): number =>
    cosine * Math.cos(turn / period) + sine * Math.sin(turn / period)
  return b[0]! + wave(b[1]!, b[2]!, 12) + wave(b[4]!, b[5]!, b[3]!) + wave(b[7]!, b[8]!, b[6]!)
}
