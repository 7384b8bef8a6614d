/** Whether a choice of a column could be a formula: it has an operator, with blanks about a minus, or calls a function. */
export function looksLikeFormula(text: string): boolean {
  return /[*^+/]|\s[-−]|[-−]\s|\b(min|max|abs|sqrt)\s*\(/.test(text)
}
