/// <reference lib="dom" />
/// <reference lib="dom.iterable" />

/** What every page does in the reader's browser: it switches between light and dark, and opens everything before it is printed. */
export function startPage(): void {
  document.addEventListener('click', (event) => {
    const button = (event.target as Element).closest('button')
    if (button?.id === 'theme-switch') switchTheme(button)
  })
  addEventListener('beforeprint', openDetails)
}

function switchTheme(button: HTMLButtonElement): void {
  const { dataset } = document.documentElement
  const isDark = dataset.theme ? dataset.theme === 'dark' : matchMedia('(prefers-color-scheme: dark)').matches
  dataset.theme = isDark ? 'light' : 'dark'
  button.textContent = isDark ? 'Switch to dark' : 'Switch to light'
}

/** On paper nothing can be opened. */
function openDetails(): void {
  for (const details of document.querySelectorAll('details')) details.open = true
}
