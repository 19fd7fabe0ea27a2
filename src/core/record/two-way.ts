import { square } from "../numerics/square.js";

/** One tester's result of one pack, as the logarithm of its value: effects are shares of it then. */
export interface TwoWayObservation {
  readonly packId: string;
  readonly testerId: string;
  readonly logValue: number;
}

/** What of the results is the pack's, what is the tester's, and what is left. */
export interface TwoWayFit {
  readonly packs: ReadonlyMap<string, number>;
  /** Of each tester; they sum to zero. */
  readonly testers: ReadonlyMap<string, number>;
  /** Root of the squared residuals over their degrees of freedom; null where none are left. */
  readonly residualSd: number | null;
}

const ROUNDS = 2_000;
const CONVERGED = 1e-13;

/**
 * Fits the additive model y = pack + tester by least squares, one effect after the other until nothing moves, which also settles tables with
 * empty cells. Testers' effects sum to zero. It is evidence of who reads high: no value is corrected by it, since a bias could be laundered
 * on other packs.
 *
 * Source: two-way layout without interaction, H. Scheffe, The Analysis of Variance (1959), ch. 4 (from memory).
 *
 * @param observations at least one, one for each pack and tester, connected: each tester shares a pack with some other
 */
export function twoWayFit(observations: readonly TwoWayObservation[]): TwoWayFit {
  const packs = new Map(observations.map(({ packId }) => [packId, 0]));
  const testers = new Map(observations.map(({ testerId }) => [testerId, 0]));
  for (let round = 0; round < ROUNDS; round++) {
    const moved =
      improve(observations, "packId", packs, ({ testerId }) => testers.get(testerId) as number) +
      improve(observations, "testerId", testers, ({ packId }) => packs.get(packId) as number);
    if (round > 0 && moved < CONVERGED) break;
  }
  const mean = [...testers.values()].reduce((sum, effect) => sum + effect, 0) / testers.size;
  for (const [id, effect] of testers) testers.set(id, effect - mean);
  for (const [id, effect] of packs) packs.set(id, effect + mean);
  const squares = observations.reduce(
    (sum, one) =>
      sum + square(one.logValue - (packs.get(one.packId) as number) - (testers.get(one.testerId) as number)),
    0,
  );
  const freedom = observations.length - packs.size - testers.size + 1;
  return { packs, testers, residualSd: freedom > 0 ? Math.sqrt(squares / freedom) : null };
}

/** Sets each effect of one kind to the mean of what the other kind leaves; the largest step is returned. */
function improve(
  observations: readonly TwoWayObservation[],
  kind: "packId" | "testerId",
  effects: Map<string, number>,
  other: (one: TwoWayObservation) => number,
): number {
  let moved = 0;
  for (const [id, some] of Map.groupBy(observations, (one) => one[kind])) {
    const effect = some.reduce((sum, one) => sum + one.logValue - other(one), 0) / some.length;
    moved = Math.max(moved, Math.abs(effect - (effects.get(id) as number)));
    effects.set(id, effect);
  }
  return moved;
}
