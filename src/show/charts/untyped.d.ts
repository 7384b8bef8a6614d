declare module 'vega-dataflow' {
  export const transforms: Record<string, unknown>
}

declare module 'vega-encode' {
  export const axisticks: unknown
  export const datajoin: unknown
  export const encode: unknown
  export const scale: unknown
  export const sortitems: unknown
}

declare module 'vega-transforms' {
  export const collect: unknown
  export const extent: unknown
  export const filter: unknown
  export const multiextent: unknown
  export const proxy: unknown
  export const relay: unknown
  export const sieve: unknown
}

declare module 'vega-view-transforms' {
  export const bound: unknown
  export const mark: unknown
  export const overlap: unknown
  export const render: unknown
  export const viewlayout: unknown
}

declare module 'vega-view' {
  export class View {
    constructor(compiled: object, options: object)
    data(name: string, rows: readonly object[]): this
    runAsync(): Promise<this>
  }
}

declare module 'wawoff2' {
  export function decompress(woff2: Uint8Array): Promise<Uint8Array>
}
