import type { FuzzCase } from './fuzzCase.js'

/**
 * Processor time that a case may take, s: two seconds, and two for each megabyte; a handful of fits as commands besides. The slowest
 * take a quarter of it when the machine is quiet.
 */
export function secondsAllowed({ asCommand }: FuzzCase, bytes: number): number {
  return (asCommand ? 20 : 2) + 2e-6 * bytes
}
