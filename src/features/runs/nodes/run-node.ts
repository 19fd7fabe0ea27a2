import type { ConformanceView, FigureView } from "../evaluation/evaluation.views.js";
import type { RunFacts } from "../run-view.js";
import type { RunView } from "../runs.views.js";

/** Ids of what a run belongs to, and of its current evaluation. */
export interface RunReferences {
  readonly packId: string;
  readonly specimenId: string;
  readonly benchId: string;
  readonly testerId: string;
  readonly evaluationId: string | null;
}

/** A run as GraphQL begins with it: what it belongs to and what it delivered is read where it is asked for. */
export interface RunNode extends RunFacts {
  readonly references: RunReferences;
  readonly conformance: ConformanceNode | null;
}

export interface ConformanceNode extends Pick<ConformanceView, "verdict"> {
  readonly evaluationId: string;
}

export interface FigureNode extends Omit<FigureView, "budget"> {
  readonly evaluationId: string;
}

/** Members of a run that have a resolver of their own. */
export type RunPart = Exclude<keyof RunView, keyof RunFacts>;
