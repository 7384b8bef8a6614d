import { archiveTable } from './archiveTable.js'
import { certifiedTable } from './certifiedTable.js'
import { changePointTable } from './changePointTable.js'
import { commandTable } from './commandTable.js'
import { keepResults } from './keepResults.js'
import { leastSquaresTable } from './leastSquaresTable.js'
import { readingTable } from './readingTable.js'
import { relaxationTable } from './relaxationTable.js'

/** Every table of the benchmarks by name. */
const TABLES: Readonly<Record<string, () => Promise<readonly string[]> | readonly string[]>> = {
  changes: changePointTable,
  relaxation: relaxationTable,
  accuracy: leastSquaresTable,
  certified: certifiedTable,
  archive: archiveTable,
  reading: readingTable,
  commands: commandTable,
}

const RESULTS = 'tests/bench/results.md'

// `npm run bench [-- NAME ...]`: time beside peers and floors in the same run. Nothing passes or fails by it.
const asked = process.argv.slice(2)
const unknown = asked.filter((name) => !(name in TABLES))
if (unknown.length > 0) {
  console.error(`No table ${unknown.join(', ')}; there are ${Object.keys(TABLES).join(', ')}.`)
  process.exitCode = 2
} else {
  for (const [name, table] of Object.entries(TABLES)) {
    if (asked.length > 0 && !asked.includes(name)) continue
    const lines = await table()
    console.log([...lines, ''].join('\n'))
    keepResults(RESULTS, name, lines)
  }
}
