/**
 * The content-security policy of a file that opens by itself: nothing may be fetched, embedded or sent; its own script and style may run,
 * known by their hashes.
 *
 * @param own.workers - whether the script makes workers and pictures of its own text
 * @source W3C Content Security Policy Level 3, hash sources
 */
export async function securityPolicy(own: {
  readonly script: string
  readonly style: string
  readonly workers?: boolean
}): Promise<string> {
  return [
    "default-src 'none'",
    `script-src ${await hashSource(own.script)}`,
    `style-src ${await hashSource(own.style)}`,
    ...(own.workers ? ['worker-src blob:'] : []),
    'font-src data:',
    `img-src data:${own.workers ? ' blob:' : ''}`,
    "connect-src 'none'",
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ')
}

async function hashSource(text: string): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text))
  return `'sha256-${btoa(String.fromCharCode(...new Uint8Array(digest)))}'`
}

/** Code as it may stand between script tags: nothing in it ends them, or begins a comment. */
export function inScript(text: string): string {
  return text.replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--')
}
