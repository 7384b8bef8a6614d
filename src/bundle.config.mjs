import { fileURLToPath } from 'node:url'

// How the command line is bundled: `rolldown -c src/bundle.config.mjs`, from the project's root.
//
// As CommonJS, though the sources are ES modules: to set up the loader of those takes node 12 ms, and what they import of it as much again.
//
// A module costs the best part of a millisecond to find, read and link, and its text next to nothing until it runs. So what answers
// at once (`--version`, `--help`) is one file, and what `stages` loads, on which nearly every other command builds, another;
// the rest is split by who uses it.
const path = (name) => fileURLToPath(new URL(name, import.meta.url))
const [RUN, STAGES] = [path('cli/runProcess.ts'), path('cli/commands/stages.ts')]

/** Modules that one module loads by static imports, itself among them. */
function loadedBy(start, context, found = new Set()) {
  if (found.has(start)) return found
  found.add(start)
  for (const next of context.getModuleInfo(start)?.importedIds ?? []) loadedBy(next, context, found)
  return found
}

/**
 * The parser of options loads this for commands that are programs of their own, of which there are none here; it brings sockets and
 * pipes along, 4 ms at every start.
 */
const NO_CHILDREN = {
  name: 'no-children',
  resolveId: (id, importer) => (id === 'node:child_process' && /node_modules.commander/.test(importer) ? '\0no-children' : null),
  load: (id) => (id === '\0no-children' ? 'module.exports = {}' : null),
}

/**
 * The reader of sheets has two builds of the same code: for node, a file a module; and for browsers, modules that are bundled into one text, of
 * which only what is used is left. Files that are wrapped one by one are read twice by the engine, 5 ms at every start with a sheet.
 */
const ONE_YAML = {
  name: 'one-yaml',
  resolveId: (id) => (id === 'yaml' ? path('../node_modules/yaml/browser/index.js') : null),
}

/**
 * The drawer of tables measures texts with a regular expression of all emoji; the measure that the rest of the command takes says the same of what
 * tables hold, in a tenth of the time.
 */
const ONE_WIDTH = {
  name: 'one-width',
  resolveId: (id, importer) => (id === 'string-width' && /node_modules.cli-table3/.test(importer) ? '\0one-width' : null),
  load: (id) =>
    id === '\0one-width'
      ? `module.exports = require(${JSON.stringify(path('../node_modules/fast-string-width/dist/index.js'))}).default`
      : null,
}

/**
 * Whatever imports a package while it runs has one file do it, which cli/readCompiled.ts leaves to node: a file that is run from bytecode can't
 * import anything.
 */
const PACKAGES_APART = {
  name: 'packages-apart',
  transform: (code, id) => {
    const imported = /(?<!typeof )\bimport\((?='[a-z@])/g
    if (/node_modules/.test(id) || !imported.test(code)) return null
    return `import { importPackage } from '\0packages'\n${code.replace(imported, 'importPackage(')}`
  },
  resolveId: (id) => (id === '\0packages' ? id : null),
  load: (id) => (id === '\0packages' ? 'export const importPackage = (name) => import(name)' : null),
}

export default {
  plugins: [NO_CHILDREN, ONE_YAML, ONE_WIDTH, PACKAGES_APART],
  input: {
    'cli/main': path('cli/main.ts'),
    'cli/runProcess': RUN,
    'cli/archive/workers/answerTasks': path('cli/archive/workers/answerTasks.ts'),
    // The demo, for whoever installed the package.
    'cli/demo': path('../samples/demo.ts'),
  },
  platform: 'node',
  transform: { target: 'node20' },
  external: ['vega', 'vega-lite', '@resvg/resvg-js', 'wawoff2'],
  output: {
    dir: 'dist',
    format: 'cjs',
    entryFileNames: '[name].cjs',
    chunkFileNames: 'cli/chunks/[name]-[hash].cjs',
    charset: 'ascii',
    // The engine reads a third less; names of functions stay, for the stack that HOLDWATT_DEBUG shows.
    minify: { compress: true, mangle: { toplevel: false, keepNames: true }, codegen: { removeWhitespace: true } },
    comments: { legal: true, jsdoc: false, annotation: false },
    codeSplitting: {
      groups: [
        { debugName: 'packages', priority: 2, name: (id) => (id === '\0packages' ? 'packages' : null) },
        {
          debugName: 'at-once',
          priority: 1,
          name: (id, context) => (id !== RUN && loadedBy(RUN, context).has(id) ? 'at-once' : null),
        },
        {
          debugName: 'stages',
          name: (id, context) => (loadedBy(STAGES, context).has(id) ? 'stages' : null),
        },
      ],
    },
  },
}
