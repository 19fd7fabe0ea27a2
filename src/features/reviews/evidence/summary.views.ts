import { ObjectType } from "@nestjs/graphql";
import { REVIEW_STATES, type ReviewState, RUN_STATES, type RunState } from "../../../core/lifecycle/run-lifecycle.js";
import { OUTCOMES, type Outcome, VERDICTS, type Verdict } from "../../../core/model.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IdListField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";
import { ProtocolReferenceView } from "../../runs/evaluation/evaluation.views.js";
import { AppealView } from "../decisions/appeals.views.js";
import { ClaimView } from "../queue/claims.views.js";
import { ProposalView, RiskView } from "../reviews.views.js";
import { LatestDecisionView, TesterHistoryView } from "./evidence.views.js";
import { SignView } from "./plausibility.views.js";

@ObjectType("JudgedPack", { description: "What a moderator must know of the pack of a run" })
export class JudgedPackView {
  @IdField({ description: "Names the pack in every address and query" })
  id: string;

  @StringField({ description: "Maker and name", max: 170 })
  name: string;

  @BooleanField({ description: "Whether a moderator has confirmed it" })
  confirmed: boolean;
}

@ObjectType("JudgedRule", { description: "A rule that a run failed, or was remarked on by" })
export class JudgedRuleView {
  @StringField({ description: "Id of the rule", max: 64 })
  rule: string;

  @EnumField(OUTCOMES, { description: "What came of it" })
  outcome: Outcome;

  @NumberField({ description: "What was observed; null where it could not be", optional: true })
  observed: number | null;

  @StringField({ description: "What the rule allows", max: 60 })
  limit: string;

  @StringField({ description: "Symbol of the unit of both; 1 for a pure number", max: 20 })
  unit: string;

  @StringField({ description: "What was seen, shortened", max: 100 })
  message: string;
}

@ObjectType("OthersMiddle", { description: "Where the results of other testers lie, each tester counting as one" })
export class MiddleView {
  @NumberField({ description: "Their median" })
  median: number;

  @NumberField({ description: "Their spread as a standard deviation, from the median distance to the median" })
  spread: number;

  @IntField({ description: "Accepted and waiting runs of other testers in the middle", min: 1, max: 1e9 })
  runs: number;

  @IntField({ description: "Testers of those runs", min: 1, max: 1e9 })
  testers: number;
}

@ObjectType("JudgedFigure", { description: "A figure of a run beside those of other testers, and its place" })
export class JudgedFigureView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the run's own load", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "The run's value" })
  value: number;

  @NumberField({ description: "Its standard uncertainty" })
  uncertainty: number;

  @ObjectField(() => MiddleView, { description: "Accepted runs of others; null if none", optional: true })
  accepted: MiddleView | null;

  @ObjectField(() => MiddleView, { description: "Accepted and waiting runs of others; null if none", optional: true })
  acceptedAndPending: MiddleView | null;

  @NumberField({
    description:
      "Distance from the median of accepted and waiting runs in standard deviations; null for fewer than three, or of one tester",
    optional: true,
  })
  z: number | null;

  @IntField({ description: "The pack's place now; null while it has none", min: 1, max: 1e9, optional: true })
  place: number | null;

  @IntField({
    description: "The place that this run alone would give the pack; null where packs are not ranked by it",
    min: 1,
    max: 1e9,
    optional: true,
  })
  placeAlone: number | null;
}

@ObjectType("JudgedCopy", { description: "A run that looks like the same measurement" })
export class JudgedCopyView {
  @IdField({ description: "Id of the other run" })
  runId: string;

  @EnumField(REVIEW_STATES, { description: "Its review state" })
  review: ReviewState;

  @BooleanField({ description: "Whether it was uploaded before this one" })
  cameFirst: boolean;

  @BooleanField({ description: "Whether it is by another tester" })
  otherTester: boolean;

  @BooleanField({ description: "Whether it is declared for another pack" })
  otherPack: boolean;

  @BooleanField({ description: "This run cannot be accepted until it is decided" })
  holdsUp: boolean;

  @NumberField({ description: "Best score of the channels: 7.5 and more is no chance" })
  score: number;
}

@ObjectType("JudgedTester", { description: "What is known of the tester of a run" })
export class JudgedTesterView extends TesterHistoryView {
  @IdField({ description: "Stays the same when the handle changes" })
  id: string;

  @StringField({ description: "Name that others see", max: 32 })
  handle: string;

  @StringField({ description: "What the own record makes of the tester", max: 30 })
  status: string;

  @IntField({
    description:
      "Runs of this pack under this protocol that were withdrawn, or moved to another pack when their figures had been seen",
    min: 0,
    max: 1e9,
  })
  withdrawnOfPack: number;

  @IntField({
    description: "Runs of others, of the same chemistry and cell count, that the tester rejected as a moderator",
    min: 0,
    max: 1e9,
  })
  rejectedRivals: number;
}

@ObjectType("ValueInRanking", { description: "A pack's value in a ranking" })
export class RankedValueView {
  @NumberField({ description: "Value of the pack as it would stand" })
  value: number;

  @NumberField({ description: "Its standard uncertainty" })
  uncertainty: number;

  @IntField({ description: "Testers behind it", min: 0, max: 1e9 })
  testers: number;

  @BooleanField({ description: "Whether it is established; provisional if not" })
  established: boolean;

  @IntField({
    description: "Its place among the established; null while provisional",
    min: 1,
    max: 1e9,
    optional: true,
  })
  place: number | null;
}

@ObjectType("AcceptanceEffect", { description: "What accepting a run would do to one figure of its pack" })
export class AcceptanceEffectView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @ObjectField(() => RankedValueView, { description: "Now; null without a standing", optional: true })
  before: RankedValueView | null;

  @ObjectField(() => RankedValueView, { description: "After it; null without a standing", optional: true })
  after: RankedValueView | null;
}

/** Most of a kind that the short evidence names: with all of them and long names it stays below 10 kB. */
export const MAX_NAMED = { rules: 5, copies: 4, proposals: 3, replaces: 4 } as const;

@ObjectType("EvidenceSummary", { description: "What decides on a run, in one short answer" })
export class EvidenceSummaryView {
  @IdField({ description: "Which run was looked at" })
  runId: string;

  @IdField({
    description: "The evaluation that all of this is of, to be named by the decision; null until it was evaluated",
    optional: true,
  })
  evaluationId: string | null;

  @StringField({ description: "Path of everything that is known", max: 200 })
  full: string;

  @StringField({ description: "Path of its trace", max: 200 })
  trace: string;

  @EnumField(RUN_STATES, { description: "What the service has done with it" })
  state: RunState;

  @EnumField(REVIEW_STATES, { description: "What people have decided" })
  review: ReviewState;

  @EnumField(VERDICTS, { description: "What the rules say; null until it was evaluated", optional: true })
  verdict: Verdict | null;

  @ObjectField(() => ProtocolReferenceView, { description: "What it is judged by" })
  protocol: ProtocolReferenceView;

  @DateTimeField({ description: "When it was uploaded" })
  uploadedAt: string;

  @ObjectField(() => JudgedPackView, { description: "Which pack it is about" })
  pack: JudgedPackView;

  @IntField({ description: "Rules that were failed or not met, and block an acceptance", min: 0, max: 1_000 })
  failedCount: number;

  @ListField(() => JudgedRuleView, { description: "The first of them" })
  failed: JudgedRuleView[];

  @IntField({ description: "Remarks: failed advice", min: 0, max: 1_000 })
  remarkCount: number;

  @ListField(() => JudgedRuleView, { description: "The first of them" })
  remarks: JudgedRuleView[];

  @ListField(() => JudgedFigureView, { description: "The six figures that tell most" })
  figures: JudgedFigureView[];

  @IntField({ description: "Runs that look like the same measurement", min: 0, max: 1e9 })
  copyCount: number;

  @ListField(() => JudgedCopyView, { description: "Those that hold it up, then the others" })
  copies: JudgedCopyView[];

  @IntField({ description: "Other runs with the very same log, 50 at most", min: 0, max: 50 })
  sameLogCount: number;

  @BooleanField({ description: "Whether it looks made up and not measured: a reason to look closer" })
  looksMade: boolean;

  @ListField(() => SignView, { description: "Signs that the log was made up and not measured" })
  signs: SignView[];

  @ObjectField(() => JudgedTesterView, { description: "Whoever made the run, with their history" })
  tester: JudgedTesterView;

  @ListField(() => AcceptanceEffectView, {
    description: "What accepting it would do to the figures above; none where it cannot be accepted as it is",
  })
  effects: AcceptanceEffectView[];

  @ObjectField(() => RiskView, { description: "What makes it worth a closer look" })
  risk: RiskView;

  @BooleanField({ description: "Whether you have a conflict of interest: you can only propose a decision then" })
  youCompete: boolean;

  @ObjectField(() => ClaimView, { description: "Who is looking at it; null when nobody is", optional: true })
  claim: ClaimView | null;

  @ObjectField(() => AppealView, { description: "The appeal that is to be decided on; null if none", optional: true })
  appeal: AppealView | null;

  @ListField(() => ProposalView, { description: "What moderators with a conflict of interest propose, 3 at most" })
  proposals: ProposalView[];

  @IdListField({ description: "Runs in whose place it was made, 4 at most" })
  replaces: string[];

  @ObjectField(() => LatestDecisionView, { description: "The latest decision; null if none", optional: true })
  latestDecision: LatestDecisionView | null;
}
