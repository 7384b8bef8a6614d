import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { makeReview } from './review.js'
import { makeSamples } from './scenario.js'

// Writes the samples again, byte for byte: `npm run samples`, from the project's root.
for (const { name, bytes } of [...makeSamples(), ...makeReview()]) {
  writeFileSync(join('samples', name), bytes)
  process.stderr.write(`${name}: ${bytes.length} bytes\n`)
}
