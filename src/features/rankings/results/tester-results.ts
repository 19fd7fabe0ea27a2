import { leastReproducibility } from "../../../core/record/reproducibility.js";
import { decidedOf } from "../../../core/statistics/bounded-values.js";
import { sampleOf } from "../../../core/statistics/sample.js";
import { SHARED_PARTS } from "../../../core/statistics/shared-uncertainty.js";
import { testerEstimate } from "../../../core/statistics/tester-estimate.js";
import type { TesterResult } from "../../../generated/prisma/client.js";
import { columnOfLoad } from "../../../platform/database/rows/load-column.js";
import type { CountedFigure } from "../standings.repository.js";

/** Which load a figure belongs to. */
export const sideOf = ({ basis }: Pick<CountedFigure, "basis">): "own" | "translated" =>
  basis === "translated" ? basis : "own";

/** Whether a moderator let a run count: it is accepted, or was when it was withdrawn. */
export const wasAccepted = ({ withdrawnFrom }: Pick<CountedFigure, "withdrawnFrom">): boolean =>
  withdrawnFrom === null || withdrawnFrom === "accepted";

/** What one tester found of one figure of one pack at one load. */
const nameOf = (row: CountedFigure): string => `${row.packId} ${row.testerId} ${row.figure} ${sideOf(row)} ${row.load}`;

/**
 * The results of testers from the figures of their runs: each the mean of a tester's runs, withdrawn ones whose figures were seen among
 * them. Those alone make a result only where one of them had been accepted. What nobody had decided on moves the mean within a bound, and says
 * nothing of its uncertainty.
 */
export function testerResults(protocolKey: string, counted: readonly CountedFigure[]): TesterResult[] {
  return [...Map.groupBy(counted, nameOf).values()].flatMap((runs) => {
    const accepted = runs.filter(({ withdrawnFrom }) => withdrawnFrom === null);
    if (!runs.some(wasAccepted)) return [];
    return [resultOf(protocolKey, runs as [CountedFigure, ...CountedFigure[]], accepted.length)];
  });
}

function resultOf(
  protocolKey: string,
  runs: readonly [CountedFigure, ...CountedFigure[]],
  accepted: number,
): TesterResult {
  const [first] = runs;
  const withDecisions = runs.map((run) => ({ ...run, isDecided: wasAccepted(run) }));
  const decided = decidedOf(withDecisions);
  const own = testerEstimate(
    withDecisions.map((run) => ({ ...run, uncertainty: run.shared?.own ?? run.uncertainty })),
    leastReproducibility(first.figure),
  );
  const [kinetics, resistance, form] = SHARED_PARTS.map((part) => {
    return sampleOf(decided.map(({ shared }) => shared?.[part] ?? 0)).mean;
  });
  return {
    packId: first.packId,
    protocolKey,
    figure: first.figure,
    basis: sideOf(first),
    load: columnOfLoad(first.load),
    testerId: first.testerId,
    value: own.value,
    unit: first.unit,
    statedUncertainty: sampleOf(decided.map(({ uncertainty }) => uncertainty)).mean,
    ownUncertainty: own.uncertainty,
    degreesOfFreedom: own.degreesOfFreedom,
    kineticsUncertainty: kinetics ?? 0,
    resistanceUncertainty: resistance ?? 0,
    formUncertainty: form ?? 0,
    commonUncertainty: Math.min(...decided.map(({ common = 0 }) => common)),
    runs: accepted,
    withdrawnRuns: runs.length - accepted,
    firstRunAt: new Date(Math.min(...runs.map(({ uploadedAt }) => uploadedAt.getTime()))),
  };
}
