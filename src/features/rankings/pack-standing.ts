import { leastReproducibility } from "../../core/record/reproducibility.js";
import type { RankedResult } from "../../core/record/standing.js";
import { packConsensus } from "../../core/statistics/standing.js";
import type { TesterEstimate } from "../../core/statistics/tester-estimate.js";
import { coverageFactor } from "../../core/uncertainty/coverage-factor.js";
import { loadOfColumn } from "../../platform/database/rows/load-column.js";
import type { PackView } from "../packs/packs.views.js";
import type { PackStandingView } from "./pack-standing.views.js";
import type { FigureStanding } from "./results/pack-figures.js";
import { wasAccepted } from "./results/tester-results.js";
import type { CountedFigure } from "./standings.repository.js";

/** What stands behind one figure of one pack: the standing, and the runs that count in it, at least one. */
export function packStanding(
  pack: PackView,
  { figure, basis, load, unit, results, standing, relativeSd }: FigureStanding,
  counted: readonly CountedFigure[],
): PackStandingView {
  const { dersimonianLaird, estimates, agreement } = packConsensus(
    counted.map((run) => ({ ...run, isDecided: wasAccepted(run) })),
    leastReproducibility(figure),
  );
  const { value, uncertainty, degreesOfFreedom, consensus, countedTesterIds, heldTesterIds } = standing;
  const { sharedUncertainty, established, disputed, computedValue, testersBeside } = standing;
  const runsOf = Map.groupBy(counted, ({ testerId }) => testerId);
  return {
    figure,
    pack,
    value,
    unit,
    uncertainty,
    degreesOfFreedom,
    coverageFactor: coverageFactor(degreesOfFreedom),
    basis,
    load: loadOfColumn(load),
    sharedUncertainty,
    established,
    disputed,
    computedValue,
    testersBeside,
    reproducibilityPercent: 100 * relativeSd,
    consensus: { method: "huber-mandel-paule", betweenVariance: consensus.betweenVariance, dersimonianLaird },
    agreement: {
      ...agreement,
      testers: agreement.testers.map(({ testerId, runs: _, mean: __, ...statistics }, i) => {
        const runs = runsOf.get(testerId) as [CountedFigure, ...CountedFigure[]];
        const result = results.find((one) => one.testerId === testerId) as RankedResult;
        return {
          tester: { id: testerId, handle: runs[0].testerHandle },
          runIds: runs.filter(({ withdrawnFrom }) => withdrawnFrom === null).map(({ runId }) => runId),
          withdrawnRunIds: runs.filter(({ withdrawnFrom }) => withdrawnFrom !== null).map(({ runId }) => runId),
          status: result.status,
          share: consensus.shares[countedTesterIds.indexOf(testerId)] ?? 0,
          held: heldTesterIds.includes(testerId),
          ...(estimates[i] as TesterEstimate),
          ...statistics,
        };
      }),
    },
  };
}
