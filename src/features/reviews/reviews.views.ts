import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { DECISIONS, type Decision, REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { PageArgs } from "../../platform/paging/page.js";
import { Id, Instant, Nested, OneOf, Text, Texts } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class ReviewFields {
  @OneOf(DECISIONS, { description: "Accept, reject, or ask the tester" })
  decision: Decision;

  @Texts({ description: "Ids of the rules that the decision rests on", max: 50 })
  rules: string[];

  @Texts({
    description:
      "Ids of runs that look like one measurement with this one, and are judged to be measurements of their own",
    max: 50,
    optional: true,
  })
  independentOf?: string[] | null;

  @Text({ description: "Reason, for the tester", max: 4_000, multiline: true })
  note: string;
}

@InputType()
export class ReviewInput extends ReviewFields {}

@ObjectType("Review", { description: "A moderator's decision on a run of another tester" })
export class ReviewView extends ReviewFields {
  @Id({ description: "Id" })
  id: string;

  @Id({ description: "The run" })
  runId: string;

  @Nested(() => TesterView, { description: "Who decided" })
  moderator: TesterView;

  @Instant({ description: "When" })
  createdAt: string;

  @OneOf(REVIEW_STATES, { description: "Where the run stands now" })
  review: ReviewState;
}

@ArgsType()
export class ReviewsArgs extends PageArgs {
  @OneOf(REVIEW_STATES, { description: "Runs in this state; waiting when left out", optional: true })
  state?: ReviewState | null;
}
