import type { Grade, ValidationSummary } from "./pack-model.js";
import type { PackRun } from "./pack-run.js";

/** What a pack's runs lack before anything is predicted from them. */
export interface Missing {
  readonly reason: "testers" | "currents" | "rest-voltage" | "cutoff" | "recovery-or-probe" | "fit";
  readonly message: string;
}

const MIN_TESTERS = 2;
const MIN_TESTERS_ESTABLISHED = 3;
/** Mean currents lie this far apart: a full load and a step of 0.4 of it. */
const MIN_CURRENT_RATIO = 2.5;
const MIN_PROBED_ESTABLISHED = 2;
const MAX_VOLTAGE_PERCENT = 1;
const MAX_KAPPA = 1.5;
/** A recovery of so many seconds tells. */
const RECOVERY_S = 4;

/** What is missing before a model is fitted; nothing: it is at least provisional. */
export function missingOf(runs: readonly PackRun[]): Missing[] {
  const ended = runs.filter(({ reachedCutoff, drawnBefore }) => reachedCutoff && drawnBefore === null);
  const found: Missing[] = [];
  const add = (isMissing: boolean, reason: Missing["reason"], message: string) => {
    if (isMissing) found.push({ reason, message });
  };
  add(testersOf(runs) < MIN_TESTERS, "testers", "runs of a second tester, with another specimen");
  add(ended.length < 2, "cutoff", "two runs from a full pack to the cutoff");
  add(
    ended.length < 2 || ratioOf(ended) < MIN_CURRENT_RATIO,
    "currents",
    "runs to the cutoff at mean currents of 2.5 to 1 or further apart, such as a full load and a ladder step at 0.4 of it or less",
  );
  add(
    !runs.some(({ grid }) => grid.restVolts !== null),
    "rest-voltage",
    "a run whose log begins with a second of rest or more",
  );
  const tells = ({ grid }: PackRun) => grid.temperature !== null || recoveryOf(grid) >= RECOVERY_S;
  add(
    !runs.some(tells),
    "recovery-or-probe",
    "a run with a temperature probe, or with six seconds logged after the load",
  );
  return found;
}

/** What a fitted model lacks to be established, by its runs and by how they agree. */
export function gradeOf(runs: readonly PackRun[], validation: ValidationSummary | null): Grade {
  const probed = runs.filter(({ grid }) => grid.temperature !== null).length;
  const agrees =
    validation !== null && validation.voltagePercentRms <= MAX_VOLTAGE_PERCENT && validation.kappa <= MAX_KAPPA;
  return testersOf(runs) >= MIN_TESTERS_ESTABLISHED && probed >= MIN_PROBED_ESTABLISHED && agrees
    ? "established"
    : "provisional";
}

const testersOf = (runs: readonly PackRun[]): number => new Set(runs.map(({ testerId }) => testerId)).size;

function ratioOf(runs: readonly PackRun[]): number {
  const means = runs.map(({ grid }) => grid.meanA);
  return Math.max(...means) / Math.min(...means);
}

const recoveryOf = ({ seconds, loaded }: PackRun["grid"]): number =>
  seconds.subarray(loaded).reduce((sum, one) => sum + one, 0);
