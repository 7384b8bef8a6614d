import { execFile } from 'node:child_process'
import { type Ended, root } from '../cli/commandLine.js'

/**
 * Runs a line of bash in which `holdwatt` is the built command, for what only a shell shows: pipes, redirections, odd
 * names. A command that has not ended after `withinS` ends with 124, as timeout(1) has it.
 */
export function runShell(
  line: string,
  at: { readonly cwd: string; readonly withinS: number },
): Promise<Ended> {
  const script = `set -o pipefail
holdwatt() { timeout -k 1 ${at.withinS} '${process.execPath}' '${root}/dist/cli/main.cjs' "$@"; }
${line}`
  const env = { ...process.env, NO_COLOR: undefined, FORCE_COLOR: undefined }
  return new Promise((resolve) => {
    execFile('bash', ['-c', script], { cwd: at.cwd, env, maxBuffer: 1 << 26 }, (error, stdout, stderr) => {
      resolve({ status: error === null ? 0 : Number(error.code), stdout, stderr })
    })
  })
}
