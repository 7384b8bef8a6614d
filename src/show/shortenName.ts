/** A name cut at its end until it fits: `Whimbrel 13, qu…`. */
export function shortenName(name: string, columns: number): string {
  return name.length <= columns ? name : `${name.slice(0, columns - 1)}…`
}
