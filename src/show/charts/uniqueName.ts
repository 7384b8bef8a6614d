/** A file name of lower-case letters, digits and hyphens, whatever the sheet calls its machine; none twice. */
export function uniqueName(text: string, taken: Set<string>): string {
  const plain = text
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60)
  const stem = plain === '' ? 'chart' : plain
  let name = stem
  for (let count = 2; taken.has(name); count++) name = `${stem}-${count}`
  taken.add(name)
  return name
}
