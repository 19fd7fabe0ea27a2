import type { Chemistry, LoadKind } from "../../src/core/model.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import type { SimulatedLog } from "../cross-checks/simulator/simulate-log.js";
import type { TrueFigures } from "../cross-checks/simulator/true-figures.js";
import { evaluateText } from "../support/evaluated.js";
import { withoutTranslations } from "../support/protocols.js";

/** Where a bench's load lies beside the standard load: it draws more, or less. */
export const SIDES = ["far heavier", "near heavier", "near lighter", "far lighter"] as const;
export type Side = (typeof SIDES)[number];

/** One figure of one run beside what is true. */
export interface JudgedFigure {
  readonly key: string;
  readonly chemistry: Chemistry;
  readonly kind: LoadKind;
  /** null for a figure under the run's own load. */
  readonly side: Side | null;
  /** The standard load is the one nearest to the run's. */
  readonly nearest: boolean;
  readonly recovered: boolean;
  readonly value: number;
  readonly truth: number;
  readonly uncertainty: number;
}

export interface JudgedRun {
  readonly figures: readonly JudgedFigure[];
  /** Figures that are bounds, which nobody ranks, by key and load. */
  readonly bounds: number;
  readonly conforming: boolean;
}

export const RANKED_TRANSLATED: readonly string[] = FULL_LOAD_1.ranked
  .filter(({ basis }) => basis === "translated")
  .map(({ figure }) => figure);

/** The range that is called near: standard over own current at 10 s. */
const NEAR = [0.88, 1.14] as const;
/** What a recovery must show of itself to count as logged, s. */
const RECOVERED_SECONDS = 5.5;

/**
 * Every figure of a run's evaluation that is no bound and whose truth is known.
 *
 * @param onlyOwn leaves out those under standard loads, whose truth takes a simulation for each load
 */
export async function judgeRun(run: SimulatedLog, onlyOwn = false): Promise<JudgedRun> {
  const evaluation = await evaluateText(run.csv, run.facts, onlyOwn ? withoutTranslations(FULL_LOAD_1) : FULL_LOAD_1);
  const loads = new Set(evaluation.figures.map((figure) => figure.load).filter((load) => load === null || !onlyOwn));
  const { pack, bench } = run.facts;
  const truthAt = (amperes: number) => run.truth.standard(amperes);
  const nearest = nearestOf(run, loads, truthAt);
  const bounded = evaluation.figures.filter(({ bound }) => bound !== "none").length;
  const figures = evaluation.figures.flatMap((figure): JudgedFigure[] => {
    const { load } = figure;
    if (!loads.has(load)) return [];
    const known = load === null ? run.truth.own : truthAt(load);
    const truth = known?.[figure.key];
    if (known === null || truth === undefined || figure.bound !== "none") return [];
    return [
      {
        key: figure.key,
        chemistry: pack.chemistry,
        kind: bench.load.kind,
        side: load === null ? null : sideOf(known, run.truth.own),
        nearest: load !== null && load === nearest,
        recovered: (run.course.time.at(-1) as number) - run.course.offSeconds >= RECOVERED_SECONDS,
        value: figure.value,
        truth,
        uncertainty: figure.uncertainty,
      },
    ];
  });
  return { figures, bounds: bounded, conforming: evaluation.verdict !== "nonconforming" };
}

/** Standard over own current at 10 s. */
const carried = (standard: TrueFigures | null, own: TrueFigures | null): number =>
  (standard?.["current-10s"] ?? Number.NaN) / (own?.["current-10s"] ?? Number.NaN);

function sideOf(standard: TrueFigures, own: TrueFigures | null): Side {
  const ratio = carried(standard, own);
  if (ratio < NEAR[0]) return "far heavier";
  if (ratio < 1) return "near heavier";
  return ratio <= NEAR[1] ? "near lighter" : "far lighter";
}

function nearestOf(
  run: SimulatedLog,
  loads: ReadonlySet<number | null>,
  truthAt: (amperes: number) => TrueFigures | null,
): number | null {
  const far = (load: number) => Math.abs(Math.log(carried(truthAt(load), run.truth.own)));
  const known = [...loads].filter((load) => load !== null && truthAt(load) !== null) as number[];
  return known.length === 0 ? null : known.reduce((best, load) => (far(load) < far(best) ? load : best));
}
