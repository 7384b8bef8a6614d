import { spawnSync } from 'node:child_process'
import { chmodSync, existsSync, readFileSync } from 'node:fs'
import { userInfo } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { builtMain, root, runBuilt } from '../commandLine.js'
import { BAD_LOG, makeArchive, stepLog } from './archive.js'

// The guide's command over several computers, word for word, on made-up ones: each connection starts an sshd of its own by ssh's
// ProxyCommand (`sshd -i`, as the tests of OpenSSH itself do), with keys and configuration in a temporary folder. So no port is
// opened, no service started, nothing of the system changed, and nothing stays behind.

const SSHD = ['/usr/sbin/sshd', '/usr/local/sbin/sshd', '/usr/bin/sshd'].find(existsSync)
const { folder, path, write } = makeArchive()
const names = Array.from({ length: 7 }, (_, index) => `archive/log-${String(index).padStart(2, '0')}.csv`)
for (const [index, name] of names.entries())
  write(name, index === 4 ? BAD_LOG : stepLog(60 + 3 * index, 35 + index))
write('list.txt', `${names.map(path).join('\n')}\n`)

function executable(name: string, line: string): void {
  chmodSync(write(name, `#!/bin/sh\n${line}\n`), 0o755)
}
executable(
  'sound/holdwatt',
  `echo "$PARALLEL_SSHLOGIN" >> "${path('done')}"
exec "${process.execPath}" "${builtMain}" "$@"`,
)
// This computer is lost amid its first line.
executable(
  'lost/holdwatt',
  `echo "$PARALLEL_SSHLOGIN" >> "${path('done')}"; printf '{"path":"half'; kill -9 $$`,
)

/** The lines of ssh's configuration for computers that find the tool in a folder of their own. */
function hostLines(hosts: string, tools: string): string {
  const settings = [
    `HostKey ${path('host_key')}`,
    `AuthorizedKeysFile ${path('login_key.pub')}`,
    `SetEnv PATH=${path(tools)}:${process.env.PATH}`,
    ...['PidFile none', 'StrictModes no', 'UsePAM no', 'PermitRootLogin yes', 'PasswordAuthentication no'],
  ]
  const config = write(`sshd-${tools}`, `${settings.join('\n')}\n`)
  const lines = [
    `User ${userInfo().username}`,
    `ProxyCommand ${SSHD} -i -f ${config}`,
    `IdentityFile ${path('login_key')}`,
  ]
  const quiet = [
    'IdentitiesOnly yes',
    'StrictHostKeyChecking no',
    'UserKnownHostsFile /dev/null',
    'BatchMode yes',
  ]
  return [`Host ${hosts}`, ...lines, ...quiet, 'LogLevel ERROR', ''].join('\n')
}

/** A shell line where the archive is; parallel is told of these computers as a user's own `~/.ssh/config` would. */
function shell(line: string) {
  const env = { ...process.env, HOME: folder, PARALLEL_SSH: `ssh -F ${path('ssh_config')}` }
  return spawnSync('bash', ['-c', line], { cwd: folder, env, encoding: 'utf8' })
}

/** Why these tests can't run here, or nothing. */
function missing(): string | null {
  if (shell('parallel --version').status !== 0)
    return 'GNU parallel is not installed (apt-get install parallel)'
  if (SSHD === undefined) return 'sshd is not installed (apt-get install openssh-server)'
  for (const key of ['host_key', 'login_key']) shell(`ssh-keygen -q -t ed25519 -N '' -f ${key}`)
  write('ssh_config', hostLines('tern dunlin', 'sound') + hostLines('knot', 'lost'))
  const { status, stderr } = shell('ssh -F ssh_config tern true')
  return status === 0
    ? null
    : `an sshd of this user lets nobody in (${stderr.trim()}; root's needs a folder /run/sshd)`
}

const reason = missing()
if (reason !== null) console.log(`${reason}: the tests of several computers are left out`)

const guide = readFileSync(join(root, 'samples/guides/archives.md'), 'utf8')
const shown = guide.split('\n').find((line) => line.includes('--sshloginfile machines.txt'))!
const machines = /```text\n((?:\d+\/\w+\n)+)```/.exec(guide)![1]!

/** The guide's line over this archive, in pieces of few lines, and the computers that took part. */
function runShown(sshLogins: string) {
  write('machines.txt', sshLogins)
  write('done', '')
  const { status, stderr } = shell(shown.replace('/archive', path('archive')).replace('-N 200', '-N 2'))
  const took = new Set(readFileSync(path('done'), 'utf8').trim().split('\n'))
  return { status, stderr, stdout: readFileSync(path('stages.jsonl'), 'utf8'), took: [...took].sort() }
}

describe.skipIf(reason !== null)('several computers', () => {
  const single = runBuilt(['stages', '--from-list', path('list.txt'), '--json-lines', '--jobs', '1'])

  it('give the bytes of one run by the command of the guide, a bad log among the others', async () => {
    const { status, stdout, took } = runShown(machines.replaceAll(/\d+/g, '2'))
    expect((await single).stdout.split('\n')).toHaveLength(names.length + 1)
    expect(stdout).toBe((await single).stdout)
    expect({ status, took }).toEqual({ status: 0, took: ['dunlin', 'tern'] })
  })

  it('do the pieces of one that is lost amid its work, and give the same bytes', async () => {
    const { status, stdout, took } = runShown('2/tern\n2/knot\n')
    expect(stdout).toBe((await single).stdout)
    expect({ status, took }).toEqual({ status: 0, took: ['knot', 'tern'] })
  })
})
