export { InputError, type InputLocation } from './errors.js'
export { parseLog } from './log/parseLog.js'
export { readLog } from './log/readLog.js'
export { findLoads } from './segment/findLoads.js'
