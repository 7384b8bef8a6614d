import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { makeSamples } from './scenario.js'

// Writes the samples again, byte for byte: `npm run samples`, from the project's root.
for (const { name, bytes } of makeSamples()) {
  writeFileSync(join('samples', name), bytes)
  process.stderr.write(`${name}: ${bytes.length} bytes\n`)
}
