/** Published cases for reading text tables, time stamps and energy counters, each with its source. */

/** RFC 4180 (Y. Shafranovich, 2005), section 2, rules 1 to 7; the third is made here on rule 4 (spaces are part of a field). */
export const rfc4180Cases = [
  {
    text: 'aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
    records: [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  },
  {
    text: 'aaa,bbb,ccc\r\nzzz,yyy,xxx',
    records: [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  },
  {
    text: '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
    records: [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  },
  {
    text: '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
    records: [
      ['aaa', 'b\nbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  },
  { text: '"aaa","b""bb","ccc"', records: [['aaa', 'b"bb', 'ccc']] },
  { text: ' a , b\r\n', records: [[' a ', ' b']] },
] as const

/** RFC 3339 (G. Klyne, C. Newman, 2002), section 5.8; seconds since 1970 by the definition of POSIX time. */
export const rfc3339Examples = [
  { text: '1985-04-12T23:20:50.52Z', epochS: 482196050.52 },
  { text: '1996-12-19T16:39:57-08:00', epochS: 851042397 },
  { text: '1990-12-31T23:59:60Z', epochS: 662688000 },
  { text: '1990-12-31T15:59:60-08:00', epochS: 662688000 },
  { text: '1937-01-01T12:00:27.87+00:20', epochS: -1041337172.13 },
] as const

/**
 * Ranges of the operating system's energy counters in microjoules, from the unit arithmetic of Linux 6.1 drivers/powercap:
 * floor((2^32 - 1) floor(10^9 / 2^n) / 1000) for an energy unit of 2^-n J; and seconds to a wrap at a steady power.
 */
export const powercapRanges = [
  { bits: 14, rangeUj: 262143328850, wrapAfterS: { 15: 17476.2, 45: 5825.4, 100: 2621.4 } },
  { bits: 16, rangeUj: 65532610987, wrapAfterS: { 15: 4368.8, 45: 1456.3, 100: 655.3 } },
] as const
