/**
 * What an edge must gain so that pure noise of n values shows one in fewer than 1 % of cases:
 *
 *   variance × (n - 1) g / (n - 2 + g),  g = 10 + ln n
 *
 * A rectangle of noise has about n places to start, and pays for two edges, hence ln n for each; 10 covers the lengths it can have
 * and the level of 1 %. The fraction turns the bound for a known variance into the one for a variance estimated from n values
 * that the edge itself would lower (F against its maximum (n - 2 + F)). Rates of false changes: tests/study/change-point-power.md.
 *
 * @param variance - long-run variance of the noise, s² (1 + p) / (1 - p)
 * @source form: the modified Bayes information criterion, N. R. Zhang, D. O. Siegmund (2007), Biometrics 63, 22-32; the
 * constant is ours, from simulated noise
 */
export function changePenalty(count: number, variance: number): number {
  const gain = 10 + Math.log(count)
  return variance * (count > 1 ? ((count - 1) * gain) / (count - 2 + gain) : gain)
}
