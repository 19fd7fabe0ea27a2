import { standingValue } from "../../../core/record/standing-value.js";
import type { TesterResult } from "../../../generated/prisma/client.js";
import type { CountedFigure } from "../standings.repository.js";
import type { BeforeCorrection } from "./before-correction.repository.js";
import { confirmedName, type FigureStanding, rankedResult, relativeSdOf, type StandingFacts } from "./pack-figures.js";
import { testerResults } from "./tester-results.js";

/** Of a pack's results those that make the values that are confirmed of it: what stands beside them bears on no factor. */
export function behindConfirmed(
  results: readonly TesterResult[],
  found: readonly FigureStanding[],
  confirmed: StandingFacts["confirmed"],
): TesterResult[] {
  return found.flatMap(({ packId, figure, basis, load, standing }) => {
    if (!confirmed.has(confirmedName({ packId, figure, load }))) return [];
    const counted = new Set(standing.countedTesterIds);
    return results.filter(
      (one) => one.figure === figure && one.basis === basis && one.load === load && counted.has(one.testerId),
    );
  });
}

/**
 * How many times what they were the same runs give of each confirmed value of a pack, since it was corrected. A tester of whose runs one
 * counts no more is left out on both sides, and so is every run that came meanwhile: nobody's result moves what is confirmed.
 *
 * @param counted all figures of the pack's runs as they are now
 * @returns by the name of the confirmed value; none where nobody is left, or the value was 0
 */
export function correctionFactors(
  before: BeforeCorrection,
  protocolKey: string,
  counted: readonly CountedFigure[],
  facts: StandingFacts,
): Map<string, number> {
  const runs = new Set(before.runIds);
  const ofSameRuns = counted.filter(({ packId, runId }) => packId === before.packId && runs.has(runId));
  const now = new Map(testerResults(protocolKey, ofSameRuns).map((one) => [resultName(one), one]));
  const factors = new Map<string, number>();
  for (const [name, some] of Map.groupBy(before.results, confirmedName)) {
    const pairs = some.flatMap((then) => {
      const after = now.get(resultName(then));
      return after && runsOf(after) === runsOf(then) ? [{ then, after }] : [];
    });
    if (pairs.length === 0) continue;
    const valueOver = (rows: readonly TesterResult[]) =>
      standingValue(
        rows.map((row) => rankedResult(row, facts)),
        relativeSdOf(rows[0] as TesterResult, facts),
      ).value;
    const [then, after] = [valueOver(pairs.map((pair) => pair.then)), valueOver(pairs.map((pair) => pair.after))];
    if (then !== 0) factors.set(name, after / then);
  }
  return factors;
}

const resultName = ({ figure, basis, load, testerId }: TesterResult): string =>
  `${figure} ${basis} ${load} ${testerId}`;
/** Runs behind a result, withdrawn ones among them. */
const runsOf = ({ runs, withdrawnRuns }: TesterResult): number => runs + withdrawnRuns;
