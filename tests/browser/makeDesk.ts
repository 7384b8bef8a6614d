import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'
import { deskOfParts } from '../../src/desk/readDesk.js'

/** The desk, bundled from the sources as they are now, as `src/build.mjs` bundles it. */
export async function makeDesk(): Promise<string> {
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
    write: false,
    logLevel: 'warning',
  })
  return deskOfParts(outputFiles[0]!.text)
}
