/** The key of a mean; a run alone has none. */
export function meanOf(of: number | undefined): { readonly of?: number } {
  return of === undefined || of === 1 ? {} : { of }
}
