import { fileURLToPath } from 'node:url'
import { build, type Plugin } from 'esbuild'
import { deskOfParts } from '../../src/desk/readDesk.js'

let made: Promise<string> | undefined

/** The desk, bundled from the sources as they are now, as `src/build.mjs` bundles it: once in each worker. */
export function makeDesk(): Promise<string> {
  made ??= bundleDesk()
  return made
}

async function bundleDesk(): Promise<string> {
  const { outputFiles } = await build({
    stdin: {
      contents: "import { startDesk } from './src/desk/startDesk.js'\nstartDesk()",
      resolveDir: fileURLToPath(new URL('../..', import.meta.url)),
    },
    bundle: true,
    minify: true,
    platform: 'browser',
    target: 'es2022',
    format: 'iife',
    legalComments: 'none',
    plugins: [FORMULAS_APART],
    write: false,
    logLevel: 'warning',
  })
  return deskOfParts(outputFiles[0]!.text)
}

/** What formulas need is bundled by itself, so that the rest of its package is left out. */
const FORMULAS_APART: Plugin = {
  name: 'formulas-apart',
  setup: ({ onLoad }) =>
    onLoad({ filter: /formula[\\/]mathParts\.ts$/ }, async ({ path }) => {
      const { outputFiles } = await build({
        entryPoints: [path],
        ...{ bundle: true, minify: true, write: false, legalComments: 'none', logLevel: 'warning' },
        ...{ platform: 'browser', target: 'es2022', format: 'esm' },
      })
      return { contents: outputFiles[0]!.text, loader: 'js' }
    }),
}
