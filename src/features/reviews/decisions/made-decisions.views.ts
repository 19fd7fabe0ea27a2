import { ArgsType, ObjectType } from "@nestjs/graphql";
import { DECISIONS, type Decision, REVIEW_STATES, type ReviewState } from "../../../core/lifecycle/run-lifecycle.js";
import { connectionOf, listOf, PageArgs } from "../../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IdListField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";

@ObjectType("MadeDecision", { description: "A decision on a run that a moderator has made" })
export class MadeDecisionView {
  @IdField({ description: "Names the decision, to take it back" })
  id: string;

  @IdField({ description: "Which run was decided on" })
  runId: string;

  @StringField({ description: "Maker and name of its pack", max: 170 })
  pack: string;

  @ObjectField(() => TesterView, { description: "Who uploaded it" })
  tester: TesterView;

  @ObjectField(() => TesterView, { description: "Who decided" })
  moderator: TesterView;

  @EnumField(DECISIONS, { description: "What was decided" })
  decision: Decision;

  @IdListField({ description: "Ids of the rules that it rests on" })
  rules: string[];

  @StringField({ description: "Reason; null if none, or erased", max: 4_000, optional: true })
  note: string | null;

  @DateTimeField({ description: "When it was made" })
  createdAt: string;

  @EnumField(REVIEW_STATES, { description: "What the run is now" })
  review: ReviewState;

  @BooleanField({ description: "Whether it is the latest decision on the run" })
  isLatest: boolean;
}

export const MadeDecisionList = listOf(MadeDecisionView, "Decision");
export const MadeDecisionConnection = connectionOf(MadeDecisionView, "MadeDecision");

@ArgsType()
export class MadeDecisionsArgs extends PageArgs {
  @StringField({ description: "Whose decisions, by handle; your own when left out", max: 32, optional: true })
  moderator?: string | null;

  @EnumField(DECISIONS, { description: "Only decisions of this kind", optional: true })
  decision?: Decision | null;
}
