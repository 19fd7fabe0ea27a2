import { InputType, ObjectType } from "@nestjs/graphql";
import { REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { VERDICTS, type Verdict } from "../../core/model.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  DateTimeField,
  declareEnum,
  EnumField,
  IdField,
  IdListField,
  IntField,
  JsonField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { ProtocolReferenceView } from "../runs/evaluation/evaluation.views.js";

export const REEVALUATION_STATES = ["evaluating", "finished", "failed", "cancelled"] as const;
export type ReevaluationState = (typeof REEVALUATION_STATES)[number];

declareEnum(REEVALUATION_STATES, {
  name: "ReevaluationState",
  description: "How far a re-evaluation has come",
  meanings: {
    evaluating: "Runs are being evaluated",
    finished: "All are evaluated; unless it was a dry run, its version is active",
    failed: "It could not be finished, and nothing changed",
    cancelled: "An administrator cancelled it, and nothing changed",
  },
});

const MAX_COUNT = 1_000_000_000;

@ObjectType("VerdictCount", { description: "Runs that go from one verdict to another, or keep theirs" })
export class VerdictCountView {
  @EnumField(VERDICTS, { description: "Verdict under the version before" })
  from: Verdict;

  @EnumField(VERDICTS, { description: "After; null where the log could not be evaluated", optional: true })
  to: Verdict | null;

  @IntField({ description: "Runs that went from the one verdict to the other", min: 1, max: MAX_COUNT })
  runs: number;
}

@ObjectType("RunOutcome", { description: "A run whose verdict changes" })
export class RunOutcomeView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @EnumField(REVIEW_STATES, { description: "Where its review stood" })
  review: ReviewState;

  @EnumField(VERDICTS, { description: "Verdict under the version before" })
  from: Verdict;

  @EnumField(VERDICTS, { description: "After; null where the log could not be evaluated", optional: true })
  to: Verdict | null;

  @IdListField({ description: "Ids of the required rules that it does not pass any more" })
  failedRules: string[];
}

@ObjectType("PlacedValue", { description: "A standing's value and place" })
export class PlacedValueView {
  @NumberField({ description: "Consensus of the testers, in unit" })
  value: number;

  @NumberField({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @IntField({ description: "Place in the class of the pack's chemistry and cells in series", min: 1, max: MAX_COUNT })
  place: number;
}

@ObjectType("StandingChange", { description: "What a pack's value in one ranking is before and after" })
export class StandingChangeView {
  @IdField({ description: "Which pack it is about" })
  packId: string;

  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @ObjectField(() => PlacedValueView, { description: "Before; null where there was none", optional: true })
  from: PlacedValueView | null;

  @ObjectField(() => PlacedValueView, { description: "After; null if none", optional: true })
  to: PlacedValueView | null;
}

@ObjectType("ReevaluationEffects", { description: "What it changed or, as a dry run, would change" })
export class EffectsView {
  @ListField(() => VerdictCountView, { description: "Runs by verdict before and after" })
  verdicts: readonly VerdictCountView[];

  @IntField({ description: "Runs whose verdict changes", min: 0, max: MAX_COUNT })
  verdictsChanged: number;

  @IntField({
    description: "Accepted runs whose acceptance is revoked; they are pending again",
    min: 0,
    max: MAX_COUNT,
  })
  acceptanceRevoked: number;

  @ListField(() => RunOutcomeView, {
    description: "Runs whose verdict changes, those that lose their acceptance first; at most 200",
  })
  runs: readonly RunOutcomeView[];

  @IntField({ description: "How many standings all rankings hold afterwards", min: 0, max: MAX_COUNT })
  standings: number;

  @IntField({ description: "Standings that change, come or go", min: 0, max: MAX_COUNT })
  standingsChanged: number;

  @IntField({ description: "Standings whose place changes", min: 0, max: MAX_COUNT })
  placesChanged: number;

  @ListField(() => StandingChangeView, { description: "Standings that change, the largest changes first; at most 200" })
  standingChanges: readonly StandingChangeView[];
}

@ObjectType("Reevaluation", {
  description: "Evaluation of every run of a protocol under another version of it or of the computation",
})
export class ReevaluationView {
  @IdField({ description: "Names it, to follow or cancel it" })
  id: string;

  @ObjectField(() => ProtocolReferenceView, { description: "What the runs are evaluated under" })
  protocol: ProtocolReferenceView;

  @IntField({
    description: "Counts the releases of the computation that can give other numbers",
    min: 1,
    max: 1_000_000,
  })
  computationVersion: number;

  @BooleanField({ description: "It only reports what would change" })
  dryRun: boolean;

  @EnumField(REEVALUATION_STATES, { description: "State; the active version has changed once it is finished" })
  state: ReevaluationState;

  @ObjectField(() => TesterView, { description: "Who began it; null for the service itself", optional: true })
  requestedBy: TesterView | null;

  @DateTimeField({ description: "When it began" })
  createdAt: string;

  @DateTimeField({ description: "When it ended", optional: true })
  finishedAt: string | null;

  @IntField({ description: "Runs to evaluate", min: 0, max: MAX_COUNT })
  total: number;

  @IntField({ description: "Runs that were evaluated so far", min: 0, max: MAX_COUNT })
  done: number;

  @IntField({ description: "Those of them that could not be evaluated", min: 0, max: MAX_COUNT })
  failed: number;

  @ObjectField(() => EffectsView, { description: "Its effects; null until it is finished", optional: true })
  effects: EffectsView | null;
}

@InputType({ description: "Which runs are to be evaluated anew, and under what" })
export class ReevaluationInput {
  @StringField({ description: "Short name of the protocol, the same for all its versions", max: 64 })
  protocol: string;

  @IntField({ description: "Version; the newest when left out", min: 1, max: 1_000_000, optional: true })
  protocolVersion?: number | null;

  @JsonField({ description: "Of a dry run: the next version, not published yet", optional: true })
  document?: object | null;

  @BooleanField({ description: "Only tell what would change", optional: true })
  dryRun?: boolean | null;
}

export const ReevaluationList = listOf(ReevaluationView, "Reevaluation");
export const ReevaluationConnection = connectionOf(ReevaluationView, "Reevaluation");
