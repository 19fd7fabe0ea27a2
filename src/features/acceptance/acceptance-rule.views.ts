import { InputType, ObjectType } from "@nestjs/graphql";
import { ACCEPTANCE_TERMS, type AcceptanceTerm } from "../../core/acceptance/terms.js";
import { Decimal, Id, Instant, ListOf, Nested, OneOf, Text, Whole, YesNo } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class AcceptanceRuleFields {
  @YesNo({ description: "Whether runs are accepted by it" })
  enabled: boolean;

  @Whole({
    description: "Fewest runs of the tester that moderators accepted and that still stand",
    min: 1,
    max: 10_000,
  })
  moderatorAcceptances: number;

  @Whole({
    description: "Days within which no run of the tester was rejected and no decision on one taken back",
    min: 1,
    max: 3_650,
  })
  cleanDays: number;

  @Whole({ description: "Least age of the tester's account, days", min: 0, max: 3_650 })
  accountDays: number;

  @Whole({ description: "Fewest other testers who have measured the pack", min: 1, max: 50 })
  otherTesters: number;

  @Decimal({
    description: "Farthest that a ranked figure may be from what the others found",
    unit: "%",
    above: 0,
    max: 20,
  })
  farthestPercent: number;

  @Whole({ description: "Most runs of one tester that it accepts within 24 h", min: 1, max: 1_000 })
  mostPerDay: number;

  @Whole({ description: "One in so many runs goes to a moderator all the same", min: 2, max: 1_000 })
  sampleEvery: number;
}

@InputType()
export class AcceptanceRuleInput extends AcceptanceRuleFields {
  @Text({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

@ObjectType("AcceptanceRule", { description: "By which runs are accepted without a moderator" })
export class AcceptanceRuleView extends AcceptanceRuleFields {
  @Whole({ description: "Counts the changes of it; 0 while nobody has set it", min: 0, max: 1e9 })
  version: number;

  @Nested(() => TesterView, { description: "Who set it; null while nobody has", optional: true })
  setBy: TesterView | null;

  @Instant({ description: "When", optional: true })
  setAt: string | null;
}

@ObjectType("AcceptanceTerm", { description: "One term of the acceptance rule and how a run meets it" })
export class TermView {
  @OneOf(ACCEPTANCE_TERMS, { description: "The term" })
  term: AcceptanceTerm;

  @YesNo({ description: "Whether the run meets it" })
  met: boolean;

  @Decimal({ description: "What was seen; null where it is a yes or no, or cannot be told", optional: true })
  observed: number | null;

  @Decimal({ description: "The limit; null where there is none", optional: true })
  limit: number | null;
}

@ObjectType("AcceptanceCheck", { description: "How a run meets the acceptance rule as it is set now" })
export class AcceptanceCheckView {
  @Id({ description: "The run" })
  runId: string;

  @Whole({ description: "Version of the rule", min: 0, max: 1e9 })
  ruleVersion: number;

  @ListOf(() => TermView, { description: "Its terms; a run that meets them all is accepted while the rule is on" })
  terms: TermView[];
}
