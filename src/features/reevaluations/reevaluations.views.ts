import { InputType, ObjectType } from "@nestjs/graphql";
import { REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { VERDICTS, type Verdict } from "../../core/model.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  Decimal,
  Document,
  Id,
  Instant,
  ListOf,
  Nested,
  OneOf,
  Text,
  Texts,
  Whole,
  YesNo,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { ProtocolReferenceView } from "../runs/evaluation.views.js";

export const REEVALUATION_STATES = ["evaluating", "finished", "failed", "cancelled"] as const;
export type ReevaluationState = (typeof REEVALUATION_STATES)[number];

const MOST = 1_000_000_000;

@ObjectType("VerdictCount", { description: "Runs that go from one verdict to another, or keep theirs" })
export class VerdictCountView {
  @OneOf(VERDICTS, { description: "Before" })
  from: Verdict;

  @OneOf(VERDICTS, { description: "After; null where the log could not be evaluated", optional: true })
  to: Verdict | null;

  @Whole({ description: "How many", min: 1, max: MOST })
  runs: number;
}

@ObjectType("RunOutcome", { description: "A run whose verdict changes" })
export class RunOutcomeView {
  @Id({ description: "The run" })
  runId: string;

  @OneOf(REVIEW_STATES, { description: "Where its review stood" })
  review: ReviewState;

  @OneOf(VERDICTS, { description: "Before" })
  from: Verdict;

  @OneOf(VERDICTS, { description: "After; null where the log could not be evaluated", optional: true })
  to: Verdict | null;

  @Texts({ description: "Required rules that it does not pass any more" })
  failedRules: string[];
}

@ObjectType("PlacedValue", { description: "A standing's value and place" })
export class PlacedValueView {
  @Decimal({ description: "Consensus of the testers, in unit" })
  value: number;

  @Decimal({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @Whole({ description: "Place in the class of the pack's chemistry and cells in series", min: 1, max: MOST })
  place: number;
}

@ObjectType("StandingChange", { description: "A standing that changes" })
export class StandingChangeView {
  @Id({ description: "The pack" })
  packId: string;

  @Text({ description: "Figure", max: 60 })
  figure: string;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Nested(() => PlacedValueView, { description: "Before; null where there was none", optional: true })
  from: PlacedValueView | null;

  @Nested(() => PlacedValueView, { description: "After; null where there is none", optional: true })
  to: PlacedValueView | null;
}

@ObjectType("ReevaluationEffects", { description: "What it changed or, as a dry run, would change" })
export class EffectsView {
  @ListOf(() => VerdictCountView, { description: "Runs by verdict before and after" })
  verdicts: readonly VerdictCountView[];

  @Whole({ description: "Runs whose verdict changes", min: 0, max: MOST })
  verdictsChanged: number;

  @Whole({ description: "Accepted runs that count no more, and wait for a moderator again", min: 0, max: MOST })
  acceptedLapsed: number;

  @ListOf(() => RunOutcomeView, { description: "Runs whose verdict changes, those that lapse first; at most 200" })
  runs: readonly RunOutcomeView[];

  @Whole({ description: "Standings after it", min: 0, max: MOST })
  standings: number;

  @Whole({ description: "Standings that change, come or go", min: 0, max: MOST })
  standingsChanged: number;

  @Whole({ description: "Standings whose place changes", min: 0, max: MOST })
  placesChanged: number;

  @ListOf(() => StandingChangeView, { description: "Standings that change, the largest changes first; at most 200" })
  standingChanges: readonly StandingChangeView[];
}

@ObjectType("Reevaluation", {
  description: "Evaluation of every run of a protocol under another version of it or of the computation",
})
export class ReevaluationView {
  @Id({ description: "Id" })
  id: string;

  @Nested(() => ProtocolReferenceView, { description: "What the runs are evaluated under" })
  protocol: ProtocolReferenceView;

  @Text({ description: "Version of the computation", max: 40 })
  computationVersion: string;

  @YesNo({ description: "It only tells what would change" })
  dryRun: boolean;

  @OneOf(REEVALUATION_STATES, { description: "Where it stands; what counts has changed once it is finished" })
  state: ReevaluationState;

  @Nested(() => TesterView, { description: "Who began it; null for the service itself", optional: true })
  requestedBy: TesterView | null;

  @Instant({ description: "When it began" })
  createdAt: string;

  @Instant({ description: "When it ended", optional: true })
  finishedAt: string | null;

  @Whole({ description: "Runs to evaluate", min: 0, max: MOST })
  total: number;

  @Whole({ description: "Those done", min: 0, max: MOST })
  done: number;

  @Whole({ description: "Those of them that could not be evaluated", min: 0, max: MOST })
  failed: number;

  @Nested(() => EffectsView, { description: "Its effects; null until it is finished", optional: true })
  effects: EffectsView | null;
}

@InputType()
export class ReevaluationInput {
  @Text({ description: "Key of the protocol", max: 64 })
  protocol: string;

  @Whole({ description: "Version; the newest when left out", min: 1, max: 1_000_000, optional: true })
  protocolVersion?: number | null;

  @Document({ description: "Of a dry run: the next version, not published yet", optional: true })
  document?: object | null;

  @YesNo({ description: "Only tell what would change", optional: true })
  dryRun?: boolean | null;
}

export const ReevaluationList = listOf(ReevaluationView, "Reevaluation");
export const ReevaluationConnection = connectionOf(ReevaluationView, "Reevaluation");
