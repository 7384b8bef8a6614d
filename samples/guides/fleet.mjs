import { readFileSync } from 'node:fs'
import { DuckDBInstance } from '@duckdb/node-api'

// `npm install @duckdb/node-api`, then `node fleet.mjs stages.jsonl [--json]`: asks the questions of fleet.sql, a table for each.

const [results, form] = process.argv.slice(2)
const connection = await (await DuckDBInstance.create()).connect()
await connection.run(`SET VARIABLE results = '${results.replaceAll("'", "''")}'`)
const [prepare, ...questions] = readFileSync(new URL('./fleet.sql', import.meta.url), 'utf8').split(/;\n/).filter((text) => text.trim() !== '')
await connection.run(prepare)
for (const question of questions) {
  const rows = (await connection.runAndReadAll(question)).getRowObjectsJson()
  if (form === '--json') console.log(JSON.stringify(rows))
  else console.table(rows)
}
