/** Intervals that loggers offer, s; common practice, no source. */
const USUAL_INTERVALS_S = [5, 2, 1, 0.5, 0.2, 0.1]
/** For its level and both its ends. */
export const SAMPLES_IN_BURST = 5
/** Shows everything but a burst. */
const WITHOUT_BURST_S = 1

/**
 * How often to sample so that the shortest burst is seen: the longest usual interval of which five fit in it.
 *
 * @param shortestBurstS - null where there is none
 * @returns seconds between samples
 */
export function samplingInterval(shortestBurstS: number | null): number {
  if (shortestBurstS === null) return WITHOUT_BURST_S
  return (
    USUAL_INTERVALS_S.find((everyS) => everyS * SAMPLES_IN_BURST <= shortestBurstS) ??
    USUAL_INTERVALS_S.at(-1)!
  )
}
