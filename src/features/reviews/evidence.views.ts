import { ObjectType } from "@nestjs/graphql";
import { DECISIONS, type Decision } from "../../core/lifecycle/run-lifecycle.js";
import { Decimal, Id, Instant, ListOf, Nested, OneOf, Text, Texts, Whole, YesNo } from "../../platform/views/index.js";
import { AcceptanceCheckView } from "../acceptance/acceptance-rule.views.js";
import { CopiesView } from "../copies/copies.views.js";
import { RunView } from "../runs/runs.views.js";
import { ClaimView, RiskView } from "./reviews.views.js";

@ObjectType("RunTransition", { description: "Something that happened to a run" })
export class TransitionView {
  @Whole({ description: "Place in the record", min: 1, max: 2_147_483_647 })
  position: number;

  @Instant({ description: "When" })
  at: string;

  @Id({
    description: "Account, or version of the acceptance rule, that did it; null for the service itself",
    optional: true,
  })
  actorId: string | null;

  @Text({ description: "What happened", max: 64 })
  event: string;

  @Text({ description: "State and review before, with a slash between", max: 64, optional: true })
  from: string | null;

  @Text({ description: "State and review after", max: 64, optional: true })
  to: string | null;

  @Texts({ description: "Ids of the rules that it rests on" })
  rules: string[];

  @Text({ description: "Why; null where nothing was said, or where it was erased", max: 4_000, optional: true })
  reason: string | null;
}

@ObjectType("RunHistory", { description: "Everything that happened to a run, in order" })
export class RunHistoryView {
  @ListOf(() => TransitionView, { description: "The newest 500", max: 500 })
  items: TransitionView[];
}

@ObjectType("TesterHistory", { description: "How a tester's runs fared" })
export class TesterHistoryView {
  @Instant({ description: "When the tester registered" })
  since: string;

  @Whole({ description: "Accepted runs", min: 0, max: 1e9 })
  accepted: number;

  @Whole({ description: "Rejected runs", min: 0, max: 1e9 })
  rejected: number;

  @Whole({ description: "Runs that wait or were asked about", min: 0, max: 1e9 })
  undecided: number;

  @Whole({ description: "Withdrawn runs", min: 0, max: 1e9 })
  withdrawn: number;
}

@ObjectType("RankingEffect", { description: "A figure of the run beside the ranking of its class" })
export class EffectView {
  @Text({ description: "Figure", max: 64 })
  figure: string;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "The run's value" })
  value: number;

  @Decimal({ description: "Its standard uncertainty" })
  uncertainty: number;

  @Decimal({ description: "The pack's value now; null while it has no standing", optional: true })
  packValue: number | null;

  @Decimal({ description: "Standard uncertainty of the pack's value", optional: true })
  packUncertainty: number | null;

  @Whole({ description: "The pack's place among its chemistry and series now", min: 1, max: 1e9, optional: true })
  packPlace: number | null;

  @Whole({ description: "The place that this run alone would give the pack", min: 1, max: 1e9 })
  placeAlone: number;
}

@ObjectType("LatestDecision", { description: "The newest decision on a run that counted" })
export class LatestDecisionView {
  @Id({ description: "Id, by which it may be taken back" })
  id: string;

  @OneOf(DECISIONS, { description: "The decision" })
  decision: Decision;

  @Id({ description: "The moderator; null when it was the acceptance rule", optional: true })
  moderatorId: string | null;

  @Whole({
    description: "Version of the acceptance rule; null when it was a moderator",
    min: 1,
    max: 1e9,
    optional: true,
  })
  ruleVersion: number | null;

  @Instant({ description: "When" })
  createdAt: string;
}

@ObjectType("Departure", {
  description: "A ranked figure of the run beside the accepted runs of the pack by other testers",
})
export class DepartureView {
  @Text({ description: "Figure", max: 64 })
  figure: string;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "The run's value" })
  value: number;

  @Decimal({ description: "Its standard uncertainty" })
  uncertainty: number;

  @Decimal({ description: "Median of the others, each tester counting as one" })
  median: number;

  @Decimal({ description: "Spread of the others as a standard deviation, from their median distance to the median" })
  spread: number;

  @Whole({ description: "Accepted runs of others", min: 3, max: 1e9 })
  runs: number;

  @Whole({ description: "Testers of those runs", min: 2, max: 1e9 })
  testers: number;

  @Decimal({ description: "Distance from the median in standard deviations of what one more run would give" })
  z: number;

  @YesNo({ description: "Whether it lies more than 3 of them away: a reason to look closer, not a verdict" })
  far: boolean;
}

@ObjectType("Departures", {
  description:
    "How far the run lies from the accepted runs of its pack, of which there must be three or more by two or more other testers",
})
export class DeparturesView {
  @Instant({ description: "When they were compared: each accepted run may change it" })
  at: string;

  @ListOf(() => DepartureView, { description: "The farthest first; none where others' runs are too few" })
  items: DepartureView[];
}

@ObjectType("Evidence", { description: "What there is to know before deciding on a run" })
export class EvidenceView {
  @Nested(() => RunView, { description: "The run with its findings and figures" })
  run: RunView;

  @Text({ description: "Path of its trace", max: 200 })
  trace: string;

  @Nested(() => RiskView, { description: "What makes it worth a closer look" })
  risk: RiskView;

  @Nested(() => ClaimView, { description: "Who is looking at it; null when nobody is", optional: true })
  claim: ClaimView | null;

  @YesNo({ description: "Whether you compete with it, so that another moderator must agree with you" })
  youCompete: boolean;

  @Nested(() => RunHistoryView, { description: "What happened to it" })
  history: RunHistoryView;

  @ListOf(() => RunView, { description: "The pack's other runs under the protocol, newest first, 50 at most" })
  runsOfPack: RunView[];

  @Nested(() => RunView, {
    description: "The run that its tester made in place of it; null when there is none",
    optional: true,
  })
  replacement: RunView | null;

  @ListOf(() => RunView, { description: "Runs in whose place it was made, each asked about and then withdrawn" })
  replaces: RunView[];

  @ListOf(() => RunView, { description: "Runs with the very same log" })
  sameLog: RunView[];

  @Nested(() => CopiesView, { description: "Runs whose traces look like one measurement with it, side by side" })
  copies: CopiesView;

  @Nested(() => TesterHistoryView, { description: "How its tester's runs fared" })
  tester: TesterHistoryView;

  @ListOf(() => EffectView, { description: "Its ranked figures beside the ranking" })
  effects: EffectView[];

  @Nested(() => DeparturesView, { description: "How far its figures lie from those of other testers" })
  departures: DeparturesView;

  @Nested(() => AcceptanceCheckView, { description: "How it meets the rule that accepts without a moderator" })
  acceptance: AcceptanceCheckView;

  @Nested(() => LatestDecisionView, {
    description: "The newest decision on it; null while there is none",
    optional: true,
  })
  latestDecision: LatestDecisionView | null;
}
