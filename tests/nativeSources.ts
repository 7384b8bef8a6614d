import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join, relative, resolve, sep } from 'node:path'
import { pathToFileURL } from 'node:url'
import { type Plugin as BundlerPlugin, build } from 'esbuild'
import type { Plugin } from 'vitest/config'

/**
 * Lets tests import the sources as modules of Node's own: `src` is rid of its types file by file, once for all workers, into a folder that goes when the run
 * ends. The test runner's own loading of modules, made for tests that replace some of them, is passed by: it rewrites every import into a look-up.
 */
export async function nativeSources(root: string): Promise<Plugin> {
  const sources = join(root, 'src')
  const cache = join(root, 'node_modules/.cache/holdwatt')
  mkdirSync(cache, { recursive: true })
  const folder = mkdtempSync(join(cache, 'sources-'))
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }))
  const files = readdirSync(sources, { recursive: true, encoding: 'utf8' }).filter((path) =>
    /\.tsx?$/.test(path),
  )
  await build({
    entryPoints: files.map((path) => join(sources, path)),
    outdir: folder,
    outbase: sources,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    logLevel: 'warning',
    plugins: [ownAddress],
  })
  writeFileSync(join(folder, 'package.json'), '{ "type": "module" }')
  return {
    name: 'native-sources',
    enforce: 'pre',
    resolveId(source, importer) {
      if (!source.startsWith('.') || importer === undefined) return undefined
      const path = resolve(dirname(importer), source)
      return path.startsWith(sources + sep) && path.endsWith('.js')
        ? join(folder, relative(sources, path))
        : undefined
    },
  }
}

/** A module that asks where it is hears where its source is: what it looks for lies beside that. */
const ownAddress: BundlerPlugin = {
  name: 'own-address',
  setup: ({ onLoad }) => {
    onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const text = readFileSync(path, 'utf8')
      if (!text.includes('import.meta.url')) return undefined
      return {
        contents: text.replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href)),
        loader: 'ts',
      }
    })
  },
}
