import { NO_BREAK } from './digits.js'

/** A length of time in the unit that reads best: `7 s`, `2 min 10 s`, `31 min`, `1 h 05 min`. */
export function sayDuration(seconds: number): string {
  if (seconds < 9.95) return `${trimZero(seconds.toFixed(1))}${NO_BREAK}s`
  const whole = Math.round(seconds)
  if (whole < 90) return `${whole}${NO_BREAK}s`
  const minutes = Math.floor(whole / 60)
  if (minutes >= 60)
    return `${Math.floor(minutes / 60)}${NO_BREAK}h${NO_BREAK}${twoDigits(minutes % 60)}${NO_BREAK}min`
  const rest = whole % 60
  if (minutes >= 10 || rest === 0) return `${Math.round(seconds / 60)}${NO_BREAK}min`
  return `${minutes}${NO_BREAK}min${NO_BREAK}${rest}${NO_BREAK}s`
}

/** A moment of a log, counted from its first sample: `0:27`, `28:40`, `1:02:05`. */
export function sayMoment(seconds: number): string {
  const whole = Math.round(seconds)
  const hours = Math.floor(whole / 3600)
  const minutes = Math.floor(whole / 60) % 60
  const rest = twoDigits(whole % 60)
  return hours > 0 ? `${hours}:${twoDigits(minutes)}:${rest}` : `${minutes}:${rest}`
}

function twoDigits(value: number): string {
  return String(value).padStart(2, '0')
}

function trimZero(text: string): string {
  return text.replace(/\.0$/, '')
}
