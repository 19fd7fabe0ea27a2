import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { DECISIONS, type Decision, REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { connectionOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
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
import { RunFields } from "../runs/runs.views.js";
import { AppealView } from "./decisions/appeals.views.js";
import { ARBITERS, type Arbiter } from "./decisions/interests.repository.js";
import { ClaimView } from "./queue/claims.views.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class ReviewFields {
  @EnumField(DECISIONS, { description: "Accept, reject, or ask the tester" })
  decision: Decision;

  @IdListField({ description: "Ids of the rules that the decision rests on", max: 50 })
  rules: string[];

  @IdListField({
    description:
      "Ids of runs that look like one measurement with this one, and are judged to be measurements of their own",
    max: 50,
    optional: true,
  })
  independentOf?: string[] | null;

  @StringField({
    description: "Reason, for the tester; needed to reject and to ask",
    max: 4_000,
    multiline: true,
    optional: true,
  })
  note?: string | null;
}

@InputType({ description: "A decision on a run with its reasons" })
export class ReviewInput extends ReviewFields {
  @IdField({
    description:
      "The evaluation that the decision rests on, `evaluationId` of the evidence: it is refused where the run has been moved or evaluated anew since",
    optional: true,
  })
  evaluationId?: string | null;
}

/** Most runs that are decided on at once. */
export const MAX_DECIDED = 50;

@InputType({ description: "One decision on several runs" })
export class ManyReviewsInput extends ReviewFields {
  @IdListField({ description: "Ids of those to decide on", max: MAX_DECIDED, longest: 64 })
  runIds: string[];
}

@InputType({ description: "Words of a tester on a decision" })
export class ReplyInput {
  @StringField({ description: "What you say to it, for the moderators", max: 4_000, multiline: true })
  note: string;
}

@InputType({ description: "An answer to what a moderator asked" })
export class AnswerInput extends ReplyInput {
  @IdField({
    description: "A later run of yours that you made in place of this one, which is then withdrawn",
    optional: true,
  })
  replacedBy?: string | null;
}

@ObjectType("Review", { description: "A moderator's decision on a run of another tester" })
export class ReviewView extends ReviewFields {
  @IdField({ description: "Names the decision, to take it back" })
  id: string;

  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => TesterView, { description: "The moderator whose decision it is" })
  moderator: TesterView;

  @DateTimeField({ description: "When the decision was made" })
  createdAt: string;

  @EnumField(REVIEW_STATES, { description: "The run's review state" })
  review: ReviewState;

  @BooleanField({ description: "Whether it counts; that of a moderator who competes counts when another one agrees" })
  effective: boolean;

  @EnumField(ARBITERS, { description: "Who must agree; null where it counts already", optional: true })
  waitsFor: Arbiter | null;
}

@ObjectType("ReviewOutcome", { description: "What became of one of several decisions" })
export class ReviewOutcomeView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => ReviewView, { description: "The decision; null when it was refused", optional: true })
  review: ReviewView | null;

  @JsonField({ description: "Why it was refused (RFC 9457); null when it was not", optional: true })
  problem: object | null;
}

@ObjectType("ReviewOutcomes", { description: "What came of a decision on several runs" })
export class ReviewOutcomesView {
  @ListField(() => ReviewOutcomeView, { description: "In the order of the runs", max: MAX_DECIDED })
  items: ReviewOutcomeView[];
}

@ObjectType("ReviewProposal", {
  description: "What a moderator with a conflict of interest would decide; it counts when one without agrees",
})
export class ProposalView {
  @ObjectField(() => TesterView, { description: "The moderator who proposes it" })
  moderator: TesterView;

  @EnumField(DECISIONS, { description: "What is proposed" })
  decision: Decision;

  @DateTimeField({ description: "When it was first proposed" })
  createdAt: string;
}

@ObjectType("ReviewRisk", { description: "What makes a run worth a closer look" })
export class RiskView {
  @NumberField({ description: "Sum of the weights below", min: 0, max: 100 })
  score: number;

  @IntField({ description: "Failed advice, weight 1 each", min: 0, max: 3 })
  failedAdvice: number;

  @BooleanField({ description: "Its log or its trace looks like one measurement with another run, weight 5" })
  copied: boolean;

  @BooleanField({
    description:
      "A figure is further from what three testers or more found than three times the uncertainties, weight 3",
  })
  outlier: boolean;

  @IntField({
    description:
      "Runs of its tester, of the same pack under the same protocol, that were withdrawn, or moved to another pack when their figures had been seen, weight 1 each",
    min: 0,
    max: 3,
  })
  withdrawnTries: number;

  @NumberField({
    description:
      "How far capacity over rated, mean cell voltage or resistance times capacity lies from the runs of its chemistry when it was evaluated, in robust standard deviations, weight 1 each",
    min: 0,
    max: 3,
  })
  unusual: number;

  @BooleanField({ description: "Nobody has confirmed its pack, weight 1" })
  unconfirmedPack: boolean;

  @BooleanField({ description: "Its tester has no accepted run yet, weight 2" })
  newTester: boolean;

  @BooleanField({
    description:
      "Conforming, and either the pack's first run or one that alone would rank among the first three, weight 2",
  })
  affectsRanking: boolean;
}

@ObjectType("QueuedRun", { description: "A run in the queue of the moderators" })
export class QueuedRunView extends RunFields {
  @ObjectField(() => RiskView, {
    description:
      "What makes it worth a closer look; null once it is decided, and for the moment before it is first scored",
    optional: true,
  })
  risk: RiskView | null;

  @ObjectField(() => ClaimView, { description: "Who is looking at it; null when nobody is", optional: true })
  claim: ClaimView | null;

  @ObjectField(() => AppealView, { description: "The appeal that is to be decided on; null if none", optional: true })
  appeal: AppealView | null;

  @ListField(() => ProposalView, { description: "What moderators with a conflict of interest would decide" })
  proposals: ProposalView[];
}

export const QueuedRunConnection = connectionOf(QueuedRunView, "QueuedRun");

@ArgsType()
export class ReviewsArgs extends PageArgs {
  @EnumField(REVIEW_STATES, { description: "Runs in this state; those to decide on when left out", optional: true })
  state?: ReviewState | null;
}
