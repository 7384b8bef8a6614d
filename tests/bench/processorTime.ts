/** Runs a function and gives its result with the processor time it took, in milliseconds. */
export function processorTime<T>(run: () => T): { readonly result: T; readonly ms: number } {
  const before = process.cpuUsage()
  const result = run()
  const { user, system } = process.cpuUsage(before)
  return { result, ms: (user + system) / 1000 }
}
