declare module 'vega-dataflow' {
  export const transforms: Record<string, unknown>
}

declare module 'vega-encode' {}

declare module 'vega-view-transforms' {}

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
