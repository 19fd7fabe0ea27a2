import { FIGURE_KEYS, KEY_FIGURES } from "../../core/figures/catalogue.js";
import { conditionsOf } from "../../core/inputs/conditions.js";
import type { ReviewState, RunState } from "../../core/lifecycle/run-lifecycle.js";
import type { Bound, Channel, Outcome, Severity, StopReason, Verdict } from "../../core/model.js";
import { figureOfRow } from "../../platform/database/rows/figure-rows.js";
import { benchView } from "../benches/benches.service.js";
import { packView } from "../packs/packs.service.js";
import { specimenView } from "../specimens/specimens.service.js";
import type {
  AdjustmentView,
  FigureView,
  FindingView,
  KeyFigureView,
  LogColumnView,
} from "./evaluation/evaluation.views.js";
import type { EvaluationParts } from "./evaluation/evaluation-parts.repository.js";
import type { LogErrorView } from "./evaluation/log-error.views.js";
import type { QuestionView } from "./question/question.views.js";
import type { RunRow } from "./runs.repository.js";
import type { RunView } from "./runs.views.js";

type EvaluationRow = NonNullable<RunRow["currentEvaluation"]>;

/** Members of a run that are read apart from it: what it belongs to, and the many rows of its evaluation. */
type RunParts =
  | "pack"
  | "specimen"
  | "bench"
  | "tester"
  | "question"
  | "adjustments"
  | "figures"
  | "keyFigures"
  | "conformance";
export type RunFacts = Omit<RunView, RunParts>;

type EvaluationFacts = Omit<EvaluationRow, keyof EvaluationParts>;
type RunFactsRow = Omit<RunRow, "specimen" | "bench" | "tester" | "currentEvaluation"> & {
  readonly currentEvaluation: EvaluationFacts | null;
};

/** What both APIs show of a run. */
export function runView(run: RunRow, question: QuestionView | null): RunView {
  const { specimen, bench, tester, currentEvaluation: evaluation } = run;
  return {
    ...runFacts(run),
    pack: packView(specimen.pack),
    specimen: specimenView(specimen),
    bench: benchView(bench),
    tester: { id: tester.id, handle: tester.handle },
    question,
    ...(evaluation ? evaluationParts(evaluation) : NOT_EVALUATED),
    keyFigures: keyFiguresView(evaluation?.keyFigures ?? []),
  };
}

/** What a run and its evaluation say by themselves. */
export function runFacts(run: RunFactsRow): RunFacts {
  const { log, currentEvaluation: evaluation } = run;
  return {
    id: run.id,
    state: run.state as RunState,
    error: run.error as LogErrorView | null,
    review: run.review as ReviewState,
    protocol: { key: run.protocolKey, version: evaluation?.protocolVersion ?? run.protocolVersion },
    uploadedUnderVersion: run.protocolVersion,
    startedAt: run.startedAt?.toISOString() ?? null,
    ...conditionsOf(run),
    discharge: run.discharge === 0 ? null : run.discharge,
    uploadedAt: run.createdAt.toISOString(),
    log: {
      sha256: Buffer.from(log.sha256).toString("hex"),
      bytes: Number(log.bytes),
      rows: evaluation?.rows ?? null,
      keptUntil: keptUntil(run)?.toISOString() ?? null,
      removedAt: log.removal?.removedAt.toISOString() ?? null,
      columns: (evaluation?.columns ?? []) as unknown as (LogColumnView & { channel: Channel | null })[],
    },
    trace: evaluation && summaryOf(evaluation),
    verdict: (evaluation?.verdict ?? null) as Verdict | null,
    fileName: run.fileName,
    computationVersion: evaluation?.computationVersion ?? null,
  };
}

/** How long the bytes of a refused log are kept, ms. */
const REFUSED_KEPT_MS = 86_400_000;

/** When the bytes of its log are removed; null when they are not, or were. */
function keptUntil({ failedAt, error, log }: RunFactsRow): Date | null {
  const isRefused = failedAt && !log.removal && (error as LogErrorView | null)?.code !== "internal-error";
  return isRefused ? new Date(failedAt.getTime() + REFUSED_KEPT_MS) : null;
}

const NOT_EVALUATED = { adjustments: [], figures: [], conformance: null };

/** What an evaluation says. */
export function evaluationParts(evaluation: Omit<EvaluationRow, "keyFigures">) {
  return {
    trace: summaryOf(evaluation),
    adjustments: evaluation.adjustments.map(adjustmentView),
    figures: evaluation.figures.map(figureView).sort(inOrder),
    conformance: { verdict: evaluation.verdict as Verdict, findings: evaluation.findings.map(findingView) },
  };
}

function summaryOf({ samples, rateHz, durationS, cutoffS, stop }: EvaluationFacts) {
  return { samples, rateHz, durationS, cutoffS, stop: stop as StopReason };
}

export function adjustmentView({
  kind,
  message,
  before,
  after,
  unit,
}: EvaluationRow["adjustments"][number]): AdjustmentView {
  return { kind, message, before, after, unit };
}

const figureView = (row: EvaluationRow["figures"][number]): FigureView => {
  const { budget, ...figure } = figureOfRow(row);
  return { ...figure, budget: [...budget] };
};

/** In the order in which they tell most. */
export function keyFiguresView(rows: EvaluationRow["keyFigures"]): KeyFigureView[] {
  const ordered = rows.toSorted((a, b) => KEY_FIGURES.indexOf(a.key) - KEY_FIGURES.indexOf(b.key));
  return ordered.map(({ key, value, unit, uncertainty, bound }) => ({
    key,
    value,
    unit,
    uncertainty,
    bound: bound as Bound,
  }));
}

/** Those under the run's own load first, then by standard load; each in the order of the catalogue. */
export function inOrder(a: Pick<FigureView, "key" | "load">, b: Pick<FigureView, "key" | "load">): number {
  return (a.load ?? 0) - (b.load ?? 0) || FIGURE_KEYS.indexOf(a.key) - FIGURE_KEYS.indexOf(b.key);
}

export function findingView(finding: EvaluationRow["findings"][number]): FindingView {
  const { rule, severity, outcome, observed, limit, unit, message, spanFromS, spanToS } = finding;
  const span = spanFromS === null || spanToS === null ? null : { fromS: spanFromS, toS: spanToS };
  return { rule, severity: severity as Severity, outcome: outcome as Outcome, observed, limit, unit, message, span };
}
