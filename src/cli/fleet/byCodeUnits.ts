/** Orders names by their code units: the same everywhere, whatever the locale. */
export function byCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
