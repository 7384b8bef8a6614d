import { expect, it } from 'vitest'
import { sayReviewDraft } from '../../../src/show/terminal/draft/sayReviewDraft.js'

it('rows without a place are told by their lines, one that holds several runs once', () => {
  const row = (line: number) => ({
    ...{ line, workload: 'tiles', mode: 'quiet', score: '9' },
    reason: 'no load of the log is left for it',
  })
  const sheet = {
    ...{ machine: 'Wren', out: 'wren.yaml', wasThere: false, isWritten: false, loads: [], alone: [] },
    unplaced: [row(38), row(38), row(38), row(39), row(40), row(44)],
  }
  const text = sayReviewDraft({ sheets: [sheet as never], unread: [] }, { width: 80, colour: false })
  expect(text).toContain('Not placed: 4 rows')
  expect(text).toContain('· lines 38 to 40, 44, tiles @ quiet: no load of the log is left for it')
})
