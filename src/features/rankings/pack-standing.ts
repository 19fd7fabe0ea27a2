import type { EstimateWithFreedom } from "../../core/statistics/estimate.js";
import { packConsensus } from "../../core/statistics/standing.js";
import { coverageFactor } from "../../core/uncertainty/coverage-factor.js";
import type { PackView } from "../packs/packs.views.js";
import type { PackStandingView } from "./pack-standing.views.js";
import type { CountedFigure } from "./standings.repository.js";

/** What stands behind one figure of one pack, from the runs that count: at least one, all of one unit, basis and load. */
export function packStanding(pack: PackView, basis: string, counted: readonly CountedFigure[]): PackStandingView {
  const { result, mandelPaule, dersimonianLaird, estimates, agreement } = packConsensus(counted);
  const [first] = counted as [CountedFigure];
  const { value, uncertainty, sharedUncertainty, degreesOfFreedom, established } = result;
  const runsOf = Map.groupBy(counted, ({ testerId }) => testerId);
  return {
    figure: first.figure,
    pack,
    value,
    unit: first.unit,
    uncertainty,
    degreesOfFreedom,
    coverageFactor: coverageFactor(degreesOfFreedom),
    basis,
    load: first.load,
    sharedUncertainty,
    established,
    consensus: { method: "mandel-paule", betweenVariance: mandelPaule.betweenVariance, dersimonianLaird },
    agreement: {
      ...agreement,
      testers: agreement.testers.map(({ testerId, runs: _, mean: __, ...statistics }, i) => {
        const runs = runsOf.get(testerId) as [CountedFigure, ...CountedFigure[]];
        return {
          tester: { id: testerId, handle: runs[0].testerHandle },
          runIds: runs.map(({ runId }) => runId),
          ...(estimates[i] as EstimateWithFreedom),
          ...statistics,
        };
      }),
    },
  };
}
