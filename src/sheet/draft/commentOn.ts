import type { YAMLMap } from 'yaml'

/** What every drafted sheet says of its chassis. */
export const CHASSIS_COMMENT =
  ' What decides which watts are allowed. Set the room, where it was measured:  ambient: 22 degC'

/** Puts words above keys of a sheet; keys that it lacks are passed over. */
export function commentOn(map: YAMLMap, words: { readonly [key: string]: string }): void {
  for (const { key } of map.items) {
    const above = words[(key as { value?: string }).value ?? '']
    if (above !== undefined) (key as { commentBefore?: string }).commentBefore = above
  }
}
