import { InputType, ObjectType } from "@nestjs/graphql";
import { AUTO_ACCEPT_CRITERIA, type AutoAcceptCriterion } from "../../core/auto-accept/criteria.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class AutoAcceptPolicyFields {
  @BooleanField({ description: "Whether runs are accepted by it" })
  enabled: boolean;

  @IntField({
    description: "Minimum number of the tester's runs that moderators accepted and that are still accepted",
    min: 1,
    max: 10_000,
  })
  moderatorAcceptances: number;

  @IntField({
    description: "Days within which no run of the tester was rejected and no decision on one taken back",
    min: 1,
    max: 3_650,
  })
  noRejectionDays: number;

  @IntField({ description: "Least age of the tester's account, days", min: 0, max: 3_650 })
  accountDays: number;

  @IntField({ description: "Fewest other testers who have measured the pack", min: 1, max: 50 })
  otherTesters: number;

  @NumberField({
    description: "Farthest that a ranked figure may be from what the others found",
    unit: "%",
    above: 0,
    max: 20,
  })
  maxDeviationPercent: number;

  @IntField({ description: "Most runs of one tester that it accepts within 24 h", min: 1, max: 1_000 })
  maxPerDay: number;

  @IntField({ description: "One in so many runs goes to a moderator all the same", min: 2, max: 1_000 })
  sampleOneIn: number;
}

@InputType({ description: "How the rule of acceptance without a moderator is to be set" })
export class AutoAcceptPolicyInput extends AutoAcceptPolicyFields {
  @StringField({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

@ObjectType("AutoAcceptPolicy", { description: "By which runs are accepted without a moderator" })
export class AutoAcceptPolicyView extends AutoAcceptPolicyFields {
  @IntField({ description: "Counts the changes of it; 0 while nobody has set it", min: 0, max: 1e9 })
  version: number;

  @ObjectField(() => TesterView, { description: "Who set it; null while nobody has", optional: true })
  setBy: TesterView | null;

  @DateTimeField({ description: "When it was set so; null while nobody has", optional: true })
  setAt: string | null;
}

@ObjectType("AutoAcceptPolicyVersion", {
  description: "By which runs were accepted without a moderator from a change on",
})
export class AutoAcceptPolicyVersionView extends AutoAcceptPolicyView {
  @StringField({ description: "Why it was set so; null where the words were erased", max: 1_000, optional: true })
  reason: string | null;
}

export const AutoAcceptPolicyVersionList = listOf(AutoAcceptPolicyVersionView, "AutoAcceptPolicyVersion");
export const AutoAcceptPolicyVersionConnection = connectionOf(AutoAcceptPolicyVersionView, "AutoAcceptPolicyVersion");

@ObjectType("AutoAcceptCriterion", { description: "One term of the acceptance rule and how a run meets it" })
export class TermView {
  @EnumField(AUTO_ACCEPT_CRITERIA, { description: "Which condition of the rule it is" })
  term: AutoAcceptCriterion;

  @BooleanField({ description: "Whether the run meets it" })
  met: boolean;

  @NumberField({
    description: "The observed value; null if the criterion is yes or no, or cannot be assessed",
    optional: true,
  })
  observed: number | null;

  @NumberField({ description: "The limit; null if none", optional: true })
  limit: number | null;
}

@ObjectType("AcceptanceCheck", { description: "How a run meets the acceptance rule as it is set now" })
export class AcceptanceCheckView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @IntField({ description: "Which setting of the rule it was held against; counted from 1", min: 0, max: 1e9 })
  ruleVersion: number;

  @ListField(() => TermView, { description: "Its terms; a run that meets them all is accepted while the rule is on" })
  terms: TermView[];
}
