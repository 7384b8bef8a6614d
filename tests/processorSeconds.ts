/** Processor time of this process since `before`, s: what a busy machine doesn't lengthen as it does the time of day. */
export function processorSeconds(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1e6
}
