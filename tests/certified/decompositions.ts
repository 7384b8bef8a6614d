/**
 * Published additive decompositions. `LMDI_STEPS`: the worked example of B. W. Ang's logarithmic mean Divisia index (Energy
 * Policy 33, 2005, 867-871) that the tests of an open implementation of it print: rows of `from` and `to` are sub-categories,
 * columns three factors; `additive` and `multiplicative` as printed there.
 */
export const LMDI_STEPS = [
  {
    from: [
      [1, 10, 2],
      [4, 5, 3],
    ],
    to: [
      [4, 5, 3],
      [5, 6, 4],
    ],
    additive: [69.79006598, -9.455125793, 39.66505981],
    multiplicative: [1.761117821, 0.926191306, 1.379410116],
  },
  {
    from: [
      [4, 5, 3],
      [5, 6, 4],
    ],
    to: [
      [8, 2, 4],
      [5, 7, 5],
    ],
    additive: [42.96021467, -34.31902656, 50.3588119],
    multiplicative: [1.229284572, 0.847970248, 1.273773912],
  },
  {
    from: [
      [8, 2, 4],
      [5, 7, 5],
    ],
    to: [
      [10, 1, 5],
      [6, 8, 6],
    ],
    additive: [54.01064234, -9.021284671, 54.01064234],
    multiplicative: [1.208140223, 0.968911503, 1.208140223],
  },
] as const
