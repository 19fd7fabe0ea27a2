import { ObjectType } from "@nestjs/graphql";
import { DECISIONS, type Decision } from "../../../core/lifecycle/run-lifecycle.js";
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
import { TesterView } from "../../accounts/accounts.views.js";
import { AcceptanceCheckView } from "../../auto-accept/auto-accept-policy.views.js";
import { CopiesView } from "../../copies/copies.views.js";
import { RunView } from "../../runs/runs.views.js";
import { ClaimView } from "../queue/claims.views.js";
import { RiskView } from "../reviews.views.js";
import { PlausibilityView } from "./plausibility.views.js";

@ObjectType("AuditEntry", { description: "An entry of the audit log" })
export class AuditEntryView {
  @IntField({ description: "Place in the record", min: 1, max: 2_147_483_647 })
  position: number;

  @DateTimeField({ description: "When it was written, which is when it happened" })
  at: string;

  @IdField({
    description: "Account, or version of the acceptance rule, that did it; null for the service itself",
    optional: true,
  })
  actorId: string | null;

  @ObjectField(() => TesterView, { description: "The account with its handle; null if it was none", optional: true })
  actor: TesterView | null;

  @StringField({ description: "Name of the event, such as upload, accept or withdraw", max: 64 })
  event: string;

  @StringField({ description: "State and review before, with a slash between", max: 64, optional: true })
  from: string | null;

  @StringField({ description: "State and review after", max: 64, optional: true })
  to: string | null;

  @IdListField({ description: "Ids of the rules that it rests on" })
  rules: string[];

  @StringField({ description: "Why; null where nothing was said, or where it was erased", max: 4_000, optional: true })
  reason: string | null;
}

@ObjectType("RunHistory", { description: "Everything that happened to a run, in order" })
export class RunHistoryView {
  @ListField(() => AuditEntryView, { description: "The newest 500", max: 500 })
  items: AuditEntryView[];
}

@ObjectType("TesterHistory", { description: "How a tester's runs fared" })
export class TesterHistoryView {
  @DateTimeField({ description: "When the tester registered" })
  since: string;

  @IntField({ description: "Accepted runs", min: 0, max: 1e9 })
  accepted: number;

  @IntField({ description: "Rejected runs", min: 0, max: 1e9 })
  rejected: number;

  @IntField({ description: "Runs that wait or were asked about", min: 0, max: 1e9 })
  undecided: number;

  @IntField({ description: "Withdrawn runs", min: 0, max: 1e9 })
  withdrawn: number;
}

@ObjectType("RankingEffect", { description: "A figure of the run beside the ranking of its class" })
export class EffectView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "The run's value" })
  value: number;

  @NumberField({ description: "Its standard uncertainty" })
  uncertainty: number;

  @NumberField({ description: "The pack's value now; null while it has no standing", optional: true })
  packValue: number | null;

  @NumberField({ description: "Standard uncertainty of the pack's value", optional: true })
  packUncertainty: number | null;

  @IntField({ description: "The pack's place among its chemistry and series now", min: 1, max: 1e9, optional: true })
  packPlace: number | null;

  @IntField({ description: "The place that this run alone would give the pack", min: 1, max: 1e9 })
  placeAlone: number;
}

@ObjectType("LatestDecision", { description: "The newest decision on a run that counted" })
export class LatestDecisionView {
  @IdField({ description: "Id, by which it may be taken back" })
  id: string;

  @EnumField(DECISIONS, { description: "What was decided on the run" })
  decision: Decision;

  @IdField({ description: "The moderator; null when it was the acceptance rule", optional: true })
  moderatorId: string | null;

  @ObjectField(() => TesterView, { description: "The same with the handle", optional: true })
  moderator: TesterView | null;

  @IntField({
    description: "Version of the acceptance rule; null when it was a moderator",
    min: 1,
    max: 1e9,
    optional: true,
  })
  ruleVersion: number | null;

  @DateTimeField({ description: "When the decision was made" })
  createdAt: string;
}

@ObjectType("Departure", {
  description: "A ranked figure of the run beside the accepted runs of the pack by other testers",
})
export class DepartureView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "The run's value" })
  value: number;

  @NumberField({ description: "Its standard uncertainty" })
  uncertainty: number;

  @NumberField({ description: "Median of the other testers, one value for each" })
  median: number;

  @NumberField({
    description: "Spread of the others as a standard deviation, from their median distance to the median",
  })
  spread: number;

  @IntField({ description: "Accepted runs of others", min: 3, max: 1e9 })
  runs: number;

  @IntField({ description: "Testers of those runs", min: 2, max: 1e9 })
  testers: number;

  @NumberField({ description: "Distance from the median in standard deviations of what one more run would give" })
  z: number;

  @BooleanField({ description: "Whether it lies more than 3 of them away: a reason to look closer, not a verdict" })
  far: boolean;
}

@ObjectType("Departures", {
  description:
    "How far the run lies from the accepted runs of its pack, of which there must be three or more by two or more other testers",
})
export class DeparturesView {
  @DateTimeField({ description: "Since when they are so: the newest evaluation or decision among what is compared" })
  at: string;

  @ListField(() => DepartureView, { description: "The farthest first; none where others' runs are too few" })
  items: DepartureView[];
}

@ObjectType("Evidence", { description: "What there is to know before deciding on a run" })
export class EvidenceView {
  @ObjectField(() => RunView, { description: "The run with its findings and figures" })
  run: RunView;

  @IdField({
    description: "The evaluation that all of this is of, to be named by the decision; null until it was evaluated",
    optional: true,
  })
  evaluationId: string | null;

  @StringField({ description: "Path of its trace", max: 200 })
  trace: string;

  @ObjectField(() => RiskView, { description: "What makes it worth a closer look" })
  risk: RiskView;

  @ObjectField(() => ClaimView, { description: "Who is looking at it; null when nobody is", optional: true })
  claim: ClaimView | null;

  @BooleanField({ description: "Whether you compete with it, so that another moderator must agree with you" })
  youCompete: boolean;

  @ObjectField(() => RunHistoryView, { description: "What happened to it" })
  history: RunHistoryView;

  @ListField(() => RunView, { description: "The pack's other runs under the protocol, newest first, 50 at most" })
  runsOfPack: RunView[];

  @ObjectField(() => RunView, {
    description: "The run that its tester uploaded to replace it; null if none",
    optional: true,
  })
  replacement: RunView | null;

  @ListField(() => RunView, { description: "Runs in whose place it was made, each asked about and then withdrawn" })
  replaces: RunView[];

  @ListField(() => RunView, { description: "Runs with the very same log" })
  sameLog: RunView[];

  @ObjectField(() => CopiesView, { description: "Runs whose traces look like one measurement with it, side by side" })
  copies: CopiesView;

  @ObjectField(() => TesterHistoryView, { description: "How its tester's runs fared" })
  tester: TesterHistoryView;

  @ListField(() => EffectView, { description: "Its ranked figures beside the ranking" })
  effects: EffectView[];

  @ObjectField(() => PlausibilityView, { description: "Whether it looks made up and not measured" })
  plausibility: PlausibilityView;

  @ObjectField(() => DeparturesView, { description: "How far its figures lie from those of other testers" })
  departures: DeparturesView;

  @ObjectField(() => AcceptanceCheckView, { description: "How it meets the rule that accepts without a moderator" })
  acceptance: AcceptanceCheckView;

  @ObjectField(() => LatestDecisionView, {
    description: "The latest decision; null if none",
    optional: true,
  })
  latestDecision: LatestDecisionView | null;
}
