import { existsSync, readFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { Script } from 'node:vm'

/**
 * Loads a file of the bundle, and what it requires of the bundle, as `require` does, but with the bytecode that `src/keepBytecode.mjs` kept
 * when it was built: the engine neither reads the text nor compiles the functions that are called. The engine itself refuses bytecode of another version,
 * of other flags, or of a text of another length; what it refuses, or what has none, is compiled as ever.
 *
 * @param file - path of the CommonJS file
 * @param options.compiled - folder of the bytecode; without it the file is left to `load`
 * @param options.load - `require` for what is not of the bundle
 * @returns its exports
 * @source node:vm, `cachedData` of `Script`
 */
export function readCompiled(
  file: string,
  { compiled, load }: { readonly compiled: string; readonly load: NodeJS.Require },
): unknown {
  if (!existsSync(compiled)) return load(file)
  const modules = new Map<string, { exports: unknown }>()
  const loadFile = (path: string): unknown => {
    if (IMPORTS_PACKAGES.test(path)) return load(path)
    const known = modules.get(path)
    if (known !== undefined) return known.exports
    const module = { exports: {} }
    modules.set(path, module)
    const folder = dirname(path)
    const require = (id: string): unknown => (id.startsWith('.') ? loadFile(join(folder, id)) : load(id))
    const run = scriptOf(path, compiled).runInThisContext() as (...names: readonly unknown[]) => void
    run(module.exports, require, module, path, folder)
    return module.exports
  }
  return loadFile(file)
}

/** The one file that imports while it runs, see bundle.config.mjs: a script can't. */
const IMPORTS_PACKAGES = /[\\/]packages-[^\\/]*$/

/** What node, too, puts around a file. */
const HEAD = '(function (exports, require, module, __filename, __dirname) { '

function scriptOf(path: string, compiled: string): Script {
  return new Script(`${HEAD}${readFileSync(path, 'utf8')}\n})`, {
    filename: path,
    columnOffset: -HEAD.length,
    cachedData: readBytecode(join(compiled, `${basename(path)}.bin`)),
  })
}

/** Undefined for a file that nothing was kept of. */
function readBytecode(path: string): Buffer | undefined {
  return existsSync(path) ? readFileSync(path) : undefined
}
