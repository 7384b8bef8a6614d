import type { Command } from 'commander'
import type { Context } from './context.js'

export interface CommandEntry {
  readonly name: string
  /** Names that it had before: they work, and no help lists them. */
  readonly aliases?: readonly string[]
  readonly usage: string
  readonly summary: string
  readonly load: (context: Context) => Promise<Command>
}

/** Every command, in the order in which a test is made: what it answers, and the module that knows how. */
export const commands: readonly CommandEntry[] = [
  {
    name: 'log',
    aliases: ['record'],
    usage: '-- COMMAND …',
    summary: 'log power and temperature while a command runs',
    load: async (context) => (await import('./commands/log.js')).logCommand(context),
  },
  {
    name: 'draft',
    usage: 'LOG… --out SHEET',
    summary: 'a test sheet from logs and a table of scores',
    load: async (context) => (await import('./commands/draft.js')).draftCommand(context),
  },
  {
    name: 'check',
    usage: 'FILE…',
    summary: 'is this log or sheet safe to draw conclusions from?',
    load: async (context) => (await import('./commands/check.js')).checkCommand(context),
  },
  {
    name: 'stages',
    usage: 'LOG',
    summary: 'which power was held, for how long, and by what',
    load: async (context) => (await import('./commands/stages.js')).stagesCommand(context),
  },
  {
    name: 'fit',
    usage: 'SHEET…',
    summary: 'what the chip makes of a watt, and which watts the chassis allows',
    load: async (context) => (await import('./commands/fit.js')).fitCommand(context),
  },
  {
    name: 'project',
    usage: 'SHEET|CHIP.json …',
    summary: 'the score of the same chip in another chassis',
    load: async (context) => (await import('./commands/project.js')).projectCommand(context),
  },
  {
    name: 'compare',
    usage: 'SHEET|CHIP.json …',
    summary: 'chips at equal power',
    load: async (context) => (await import('./commands/compare.js')).compareCommand(context),
  },
  {
    name: 'review',
    usage: 'SHEET…',
    summary: 'machines side by side in every workload and mode',
    load: async (context) => (await import('./commands/review.js')).reviewCommand(context),
  },
  {
    name: 'survey',
    usage: 'FOLDER…',
    summary: 'an archive of machines: score at equal power, and power held',
    load: async (context) => (await import('./commands/survey.js')).surveyCommand(context),
  },
  {
    name: 'explain',
    usage: 'SHEET_A SHEET_B',
    summary: 'why one machine scores less than another',
    load: async (context) => (await import('./commands/explain.js')).explainCommand(context),
  },
  {
    name: 'plan',
    usage: 'SHEET|LOG',
    summary: 'how long to test next time',
    load: async (context) => (await import('./commands/plan.js')).planCommand(context),
  },
  {
    name: 'page',
    aliases: ['report'],
    usage: 'SHEET… --out FILE.html',
    summary: 'one page that can be published',
    load: async (context) => (await import('./commands/page.js')).pageCommand(context),
  },
  {
    name: 'desk',
    usage: '--out FILE.html',
    summary: 'all of this by hand, in one page without a terminal',
    load: async (context) => (await import('./commands/desk.js')).deskCommand(context),
  },
]

/** The command that a word of the command line names, by its name or one that it had before. */
export function findCommand(word: string | undefined): CommandEntry | undefined {
  return commands.find(
    ({ name, aliases }) => name === word || (word !== undefined && aliases?.includes(word)),
  )
}
