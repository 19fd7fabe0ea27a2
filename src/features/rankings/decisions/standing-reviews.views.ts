import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { TESTER_STATUSES } from "../../../core/record/status.js";
import { connectionOf, listOf, PageArgs } from "../../../platform/paging/page.js";
import {
  ALL_FIGURE_KEYS,
  declareEnum,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";
import { PackView } from "../../packs/packs.views.js";

const DISPUTE_DECISIONS = ["take-computed", "keep-shown"] as const;
export type DisputeDecision = (typeof DISPUTE_DECISIONS)[number];

declareEnum(DISPUTE_DECISIONS, {
  name: "DisputeDecision",
  description: "What becomes of a disputed standing",
  meanings: {
    "take-computed": "What the testers' results give becomes its value",
    "keep-shown": "The value that is shown stays, until the results move on",
  },
});

const HELD_DECISIONS = ["count", "set-aside"] as const;
export type HeldDecision = (typeof HELD_DECISIONS)[number];

declareEnum(HELD_DECISIONS, {
  name: "HeldDecision",
  description: "What becomes of a tester's held results",
  meanings: {
    count: "They make the value with the others",
    "set-aside": "They are shown beside the value, until the tester's mean changes",
  },
});

@ObjectType({ isAbstract: true })
class FigureAtLoad {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;
}

@ObjectType("Dispute", { description: "A standing whose testers' results have left the value that is shown" })
export class DisputeView extends FigureAtLoad {
  @NumberField({ description: "The value that is shown, in unit" })
  value: number;

  @NumberField({ description: "What the results give, in unit" })
  computedValue: number;

  @NumberField({ description: "U of the standing, about 95 %, in unit", min: 0 })
  expandedUncertainty: number;

  @IntField({ description: "Testers who make it", min: 1, max: 1_000_000_000 })
  testers: number;
}

@ObjectType("HeldResult", { description: "A result that is too far from the others to count by itself" })
export class HeldResultView extends FigureAtLoad {
  @NumberField({ description: "What the tester found, in unit" })
  value: number;

  @NumberField({ description: "Standard uncertainty u of it, in unit", min: 0 })
  uncertainty: number;

  @NumberField({ description: "What those who count found together, in unit" })
  othersValue: number;

  @NumberField({ description: "Standard uncertainty u of that, in unit", min: 0 })
  othersUncertainty: number;

  @NumberField({ description: "Distance of the two in standard uncertainties of the difference; held above 3", min: 0 })
  departure: number;
}

@ObjectType("HeldTester", { description: "A tester with held results of a pack" })
export class HeldTesterView {
  @ObjectField(() => TesterView, { description: "Whose results they are" })
  tester: TesterView;

  @EnumField(TESTER_STATUSES, { description: "What the tester's results count for" })
  status: string;

  @ListField(() => HeldResultView, { description: "What is held, by figure and load" })
  results: HeldResultView[];
}

@ObjectType("StandingReview", { description: "What of a pack's standings under a protocol waits for a moderator" })
export class StandingReviewView {
  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @StringField({ description: "Short name of the protocol", max: 64 })
  protocol: string;

  @ListField(() => DisputeView, { description: "Standings that may not move by themselves as far as the results do" })
  disputes: DisputeView[];

  @ListField(() => HeldTesterView, { description: "Testers whose results wait" })
  held: HeldTesterView[];
}

@InputType({ isAbstract: true })
class DecisionFields {
  @IdField({ description: "The pack, by its id" })
  packId: string;

  @StringField({ description: "Short name of the protocol", max: 64 })
  protocol: string;

  @StringField({ description: "Why, for the audit log", max: 1_000, multiline: true })
  note: string;
}

@InputType({ description: "A decision on the disputed standings of a pack" })
export class DisputeInput extends DecisionFields {
  @EnumField(DISPUTE_DECISIONS, { description: "What becomes of them" })
  decision: DisputeDecision;

  @EnumField(ALL_FIGURE_KEYS, { description: "Only the standing by this figure; all when left out", optional: true })
  figure?: string | null;

  @NumberField({
    description: "Only at this standard load, A; at all when left out",
    above: 0,
    max: 10_000,
    optional: true,
  })
  load?: number | null;
}

@InputType({ description: "A decision on a tester's held results of a pack" })
export class HeldResultsInput extends DecisionFields {
  @StringField({ description: "Handle or id of the tester", max: 64 })
  tester: string;

  @EnumField(HELD_DECISIONS, { description: "What becomes of them" })
  decision: HeldDecision;
}

@ArgsType()
export class StandingReviewsArgs extends PageArgs {}

export const StandingReviewList = listOf(StandingReviewView, "StandingReview");
export const StandingReviewConnection = connectionOf(StandingReviewView, "StandingReview");
