import { InputError } from '../../errors.js'

/**
 * Each player's fair share of what all of them achieve together: the mean, over all orders in which they could join, of what
 * each adds when it joins.
 *
 *   share_j = sum over sets S without j of |S|! (n - 1 - |S|)! / n! (worth(S + j) - worth(S))
 *
 * Shares add up to worth(all) - worth(none), whatever the game.
 *
 * @param players - n, 1 to 16 (the work doubles with each)
 * @param worth - of a set of players, told as bits: player j is in it when `(set >> j) & 1`
 * @throws InputError `players-unusable`
 * @source L. S. Shapley (1953), A value for n-person games, Annals of Mathematics Studies 28, 307-317
 * @example shapleyValues(2, (set) => (set & 1 ? 5 : 2) * (set & 2 ? 7 : 3)) // [15, 14]
 */
export function shapleyValues(players: number, worth: (set: number) => number): number[] {
  if (!(Number.isInteger(players) && players >= 1 && players <= 16)) {
    throw new InputError('players-unusable', `expected 1 to 16 players, got ${players}`)
  }
  const worths = new Float64Array(2 ** players)
  for (let set = 0; set < worths.length; set++) worths[set] = worth(set)
  const weights = KNOWN_WEIGHTS.get(players) ?? setWeights(players)
  KNOWN_WEIGHTS.set(players, weights)
  return Array.from({ length: players }, (_, j) => {
    let share = 0
    for (let set = 0; set < worths.length; set++) {
      if ((set >> j) & 1) continue
      share += weights[members(set)]! * (worths[set | (1 << j)]! - worths[set]!)
    }
    return share
  })
}

/** By number of players: the same game is played in every draw. */
const KNOWN_WEIGHTS = new Map<number, readonly number[]>()

/** |S|! (n - 1 - |S|)! / n! for each size of S: 1 / (n (n - 1 choose |S|)). */
function setWeights(players: number): number[] {
  let choose = 1
  return Array.from({ length: players }, (_, size) => {
    const weight = 1 / (players * choose)
    choose = (choose * (players - 1 - size)) / (size + 1)
    return weight
  })
}

function members(set: number): number {
  let count = 0
  for (let rest = set; rest > 0; rest >>= 1) count += rest & 1
  return count
}
