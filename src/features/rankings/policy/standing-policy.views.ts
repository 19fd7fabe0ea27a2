import { InputType, ObjectType } from "@nestjs/graphql";
import { MAX_POLICY_TESTERS } from "../../../core/record/policy.js";
import { connectionOf, listOf } from "../../../platform/paging/page.js";
import { BooleanField, DateTimeField, IntField, ObjectField, StringField } from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class StandingPolicyFields {
  @IntField({
    description: "Testers with a record whose results make an established value",
    min: 1,
    max: MAX_POLICY_TESTERS,
  })
  testers: number;

  @IntField({
    description: "How many of them are reference testers: at least 2, or 1 where testers is 1 or 2",
    min: 1,
    max: MAX_POLICY_TESTERS,
  })
  referenceTesters: number;

  @BooleanField({ description: "Whether only testers count whom moderators vouch for, as in a club" })
  vouchedOnly: boolean;

  @IntField({
    description: "From how many testers with a record on a new one needs a pack of a sealed round; null for never",
    min: 3,
    max: 10_000,
    optional: true,
  })
  sealedFrom: number | null;
}

@InputType({ description: "What is to make a standing established from now on" })
export class StandingPolicyInput extends StandingPolicyFields {
  @StringField({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

@ObjectType("StandingPolicy", { description: "What makes a standing established" })
export class StandingPolicyView extends StandingPolicyFields {
  @IntField({ description: "Counts its changes; 0 while nobody has set it", min: 0, max: 1e9 })
  version: number;

  @ObjectField(() => TesterView, { description: "Who set it; null while nobody has", optional: true })
  setBy: TesterView | null;

  @DateTimeField({ description: "When it was set so; null while nobody has", optional: true })
  setAt: string | null;
}

@ObjectType("StandingPolicyVersion", { description: "What made a standing established from a change of the policy on" })
export class StandingPolicyVersionView extends StandingPolicyView {
  @StringField({ description: "Why it was set so; null where the words were erased", max: 1_000, optional: true })
  reason: string | null;
}

export const StandingPolicyVersionList = listOf(StandingPolicyVersionView, "StandingPolicyVersion");
export const StandingPolicyVersionConnection = connectionOf(StandingPolicyVersionView, "StandingPolicyVersion");
