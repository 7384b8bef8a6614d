import { defineConfig, mergeConfig } from 'vitest/config'
import whole from '../vitest.config.js'

/** The tests of the mutated rooms, told by `runMutation.ts`, and the certified ones. */
const rooms = (process.env.HOLDWATT_MUTATED_ROOMS ?? '').split(',')

const config = mergeConfig(whole, defineConfig({ test: { reporters: [] } }))
config.test.include = [...rooms, 'certified'].map((room) => `tests/${room}/**/*.test.ts`)

export default config
