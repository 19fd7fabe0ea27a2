import { InputType, ObjectType } from "@nestjs/graphql";
import {
  DateTimeField,
  IdField,
  IdListField,
  JsonField,
  ListField,
  ObjectField,
} from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";

/** Most runs that a moderator claims at once, and has claimed at any time. */
export const MAX_CLAIMED = 50;

@ObjectType("ReviewClaim", { description: "A moderator is looking at a run" })
export class ClaimView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => TesterView, { description: "The moderator who took the run" })
  moderator: TesterView;

  @DateTimeField({ description: "When the claim ends by itself and others may decide" })
  until: string;

  @DateTimeField({ description: "How long it can be renewed; then others have their turn for a day" })
  renewableUntil: string;
}

@InputType({ description: "Runs to claim" })
export class ManyClaimsInput {
  @IdListField({ description: "Ids of the runs to claim", max: MAX_CLAIMED, longest: 64 })
  runIds: string[];
}

@ObjectType("ReviewClaimOutcome", { description: "What became of one of several claims" })
export class ClaimOutcomeView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => ClaimView, { description: "The claim; null when it was refused", optional: true })
  claim: ClaimView | null;

  @JsonField({ description: "Why it was refused (RFC 9457); null when it was not", optional: true })
  problem: object | null;
}

@ObjectType("ReviewClaimOutcomes", { description: "What came of claiming several runs" })
export class ClaimOutcomesView {
  @ListField(() => ClaimOutcomeView, { description: "In the order of the runs", max: MAX_CLAIMED })
  items: ClaimOutcomeView[];
}
