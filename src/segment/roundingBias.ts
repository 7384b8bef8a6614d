/**
 * What rounding leaves in a mean, W: without noise to move the samples across steps of q, all of them are off alike. The bias
 * is a sine of the level with the amplitude q/pi exp(-2 pi² s²/q²), s the noise before rounding; this is its root mean square.
 *
 * @param quantumW - q; infinite or 0 when there is none
 * @param variance - of the samples as rounded, W²
 * @source B. Widrow (1956), IRE Transactions on Circuit Theory 3, 266-276
 */
export function roundingBias(quantumW: number, variance: number): number {
  if (!(quantumW > 0 && Number.isFinite(quantumW))) return 0
  const before = Math.max(0, variance - quantumW ** 2 / 12)
  return (quantumW / (Math.PI * Math.SQRT2)) * Math.exp((-2 * Math.PI ** 2 * before) / quantumW ** 2)
}
