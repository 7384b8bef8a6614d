import fc from 'fast-check'

/** Property tests draw the same cases in every run, so that main is green or red for its own sake; HOLDWATT_SEED draws others. */
fc.configureGlobal({ seed: Number(process.env.HOLDWATT_SEED ?? 20261125) })
