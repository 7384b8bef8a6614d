/**
 * Whether a file system of this type shows the state of the system (processes, devices, settings) in the form of files: there are
 * no logs in it, its files change while they are read, and reading some of them does things.
 *
 * @param type - as `statfs` tells it; other systems than Linux use other numbers, none of which is here
 * @source Linux, include/uapi/linux/magic.h
 */
export function showsSystem(type: number): boolean {
  return SYSTEM_TYPES.has(type)
}

const SYSTEM_TYPES: ReadonlySet<number> = new Set([
  0x9fa0, // proc
  0x62656572, // sysfs
  0x1cd1, // devpts
  0x27e0eb, // cgroup
  0x63677270, // cgroup2
  0x64626720, // debugfs
  0x74726163, // tracefs
  0x73636673, // securityfs
  0xf97cff8c, // selinux
  0xcafe4a11, // bpf
  0x6165676c, // pstore
  0xde5e81e4, // efivarfs
  0x42494e4d, // binfmt_misc
  0x6e736673, // nsfs
])
