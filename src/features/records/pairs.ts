import type { RecordPair } from "../../core/record/judge.js";
import type { QuantityPairs } from "../../core/record/judgement.js";
import { RECORD_FIGURES, RECORD_QUANTITIES, type RecordQuantity } from "../../core/record/quantities.js";
import { leastReproducibility } from "../../core/record/reproducibility.js";
import type { PairRow } from "./pairs.repository.js";

/** The rows of one pack that say most of a quantity: at one load, by one protocol. */
interface ChosenPack {
  readonly figure: string;
  readonly basis: string;
  readonly rows: readonly PairRow[];
}

/**
 * One comparison a pack for each quantity: by the first figure that both sides have, at the load where most others have results, the lowest
 * of several.
 */
export function chosenPacks(rows: readonly PairRow[], quantity: RecordQuantity): ChosenPack[] {
  const figures = RECORD_FIGURES.filter((one) => one.quantity === quantity);
  return [...Map.groupBy(rows, ({ packId }) => packId).values()].flatMap((ofPack) => {
    for (const { protocol, figure, basis } of figures) {
      const some = ofPack.filter((row) => row.protocolKey === protocol && row.figure === figure && row.basis === basis);
      const atLoads = [...Map.groupBy(some, ({ load }) => load).values()];
      const [most] = atLoads.sort((a, b) => b.length - a.length || (a[0] as PairRow).load - (b[0] as PairRow).load);
      if (most) return [{ figure, basis, rows: most }];
    }
    return [];
  });
}

/** What a tester shares with reference testers, by quantity, as core judges it. */
export function quantityPairs(
  rows: readonly PairRow[],
  reproducibilities: ReadonlyMap<string, number>,
): Map<RecordQuantity, QuantityPairs> {
  return new Map(
    RECORD_QUANTITIES.map((quantity) => {
      const chosen = chosenPacks(rows, quantity);
      const pairs = chosen.map(({ rows: some }): RecordPair => {
        const [{ packId, value, statedUncertainty, sealed }] = some as [PairRow];
        const references = some.map((row) => ({ testerId: row.otherTesterId, value: row.otherValue }));
        return { packId, value, statedUncertainty, sealed, references };
      });
      return [quantity, { pairs, relativeSd: relativeSdOf(chosen[0], quantity, reproducibilities) }];
    }),
  );
}

/** s_R of the figure that a quantity is compared by. */
export function relativeSdOf(
  chosen: Pick<ChosenPack, "figure" | "basis"> | undefined,
  quantity: RecordQuantity,
  reproducibilities: ReadonlyMap<string, number>,
): number {
  const usual = RECORD_FIGURES.find((one) => one.quantity === quantity);
  const { figure, basis } = chosen ?? usual ?? { figure: quantity, basis: "own" };
  return reproducibilities.get(`${figure} ${basis}`) ?? leastReproducibility(figure);
}
