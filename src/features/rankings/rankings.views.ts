import { ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { LOAD_BASES } from "../../core/model.js";
import { RANKING_GAPS, type RankingGap } from "../../core/ranking/ranking-gap.js";
import { MAX_POLICY_TESTERS } from "../../core/record/policy.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  BooleanField,
  declareEnum,
  EnumField,
  IdListField,
  IntField,
  IntListField,
  NumberField,
  NumberListField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";

declareEnum(RANKING_GAPS, {
  name: "RankingGap",
  description: "Why no standing of a class is established",
  meanings: {
    "no-results": "No pack of the class has an accepted run with this figure",
    "too-few-reference-testers":
      "The service has fewer reference testers than its policy asks for: nobody can be established",
    "too-few-testers": "No confirmed pack of the class was measured by enough testers with a record",
  },
});

/** What a standing says wherever it is shown. */
@ObjectType({ isAbstract: true })
export class StandingFields {
  @IntField({
    description: "Place among the established standings of the class; null for a provisional one",
    min: 1,
    max: 1_000_000_000,
    optional: true,
  })
  place: number | null;

  @IntListField({
    description: "Best and worst place that the uncertainties allow; null for a provisional standing",
    optional: true,
  })
  placeRange: number[] | null;

  @NumberField({ description: "Consensus of the testers, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({
    description: "Standard uncertainty u of the value, in unit; the interval stated is U = coverageFactor u",
  })
  uncertainty: number;

  @NumberField({ description: "Effective degrees of freedom of u; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @NumberField({ description: "k of U = k u for about 95 %; 2 for infinitely many degrees of freedom", min: 2 })
  coverageFactor: number;

  @EnumField(LOAD_BASES, { description: "Under the runs' own loads, or translated to a standard load" })
  basis: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @NumberField({ description: "Consensus under the runs' own loads, in unit", optional: true })
  ownLoadValue: number | null;

  @IntField({ description: "Testers behind it", min: 1, max: 1_000_000_000 })
  testers: number;

  @IntField({ description: "Runs behind it", min: 1, max: 1_000_000_000 })
  runs: number;

  @BooleanField({ description: "Whether enough testers with a record make the value; provisional if not" })
  established: boolean;

  @BooleanField({
    description: "Whether the confirmed value stays, since what the results give has left it; a moderator decides",
  })
  disputed: boolean;

  @IntField({ description: "Version of the protocol that the runs were evaluated under", min: 1, max: 1_000_000 })
  protocolVersion: number;

  @IntField({ description: "Version of the computation that made their figures", min: 1, max: 1_000_000 })
  computationVersion: number;
}

@ObjectType("Standing", { description: "A pack's place in a ranking" })
export class StandingView extends StandingFields {
  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @IdListField({ description: "Ids of the nearest packs whose values do not differ significantly from this one" })
  tiedWith: string[];
}

const RANKING_LOAD = "The standard load of the ranking, A; null under the runs' own loads";
const RANKING_LOADS = "Standard loads at which the class has standings, A";
const ESTABLISHED = "Established standings of the class at this load";
const PROVISIONAL = "Provisional standings of the class at this load";
const POLICY = "What makes a standing established; with asOf, what did then";
const REFERENCE_TESTERS = "Reference testers of the service now";
const GAP = "Why no standing of the class is established; null where one is";
const COUNT = { min: 0, max: 1_000_000_000 };

@ObjectType("RankingPolicy", { description: "How many testers with a record make a standing established" })
export class RankingPolicyView {
  @IntField({ description: "Established testers whose results make the value", min: 1, max: MAX_POLICY_TESTERS })
  testers: number;

  @IntField({ description: "How many of them are reference testers", min: 1, max: MAX_POLICY_TESTERS })
  referenceTesters: number;

  @BooleanField({ description: "Whether only testers count whom moderators vouch for" })
  vouchedOnly: boolean;
}

@ApiSchema({ name: "Ranking" })
export class RankingList extends listOf(StandingView, "Standing") {
  @ApiProperty({ type: "number", nullable: true, description: RANKING_LOAD })
  load: number | null;

  @ApiProperty({ type: "number", isArray: true, description: RANKING_LOADS })
  loads: number[];

  @ApiProperty({ type: "integer", description: ESTABLISHED, minimum: 0 })
  established: number;

  @ApiProperty({ type: "integer", description: PROVISIONAL, minimum: 0 })
  provisional: number;

  @ApiProperty({ type: RankingPolicyView, description: POLICY })
  policy: RankingPolicyView;

  @ApiProperty({ type: "integer", description: REFERENCE_TESTERS, minimum: 0 })
  referenceTesters: number;

  @ApiProperty({ enum: [...RANKING_GAPS], nullable: true, description: GAP })
  gap: RankingGap | null;
}

@ObjectType("Ranking", { description: "A page of a ranking" })
export class RankingConnection extends connectionOf(StandingView, "Standing") {
  @NumberField({ description: RANKING_LOAD, optional: true })
  load: number | null;

  @NumberListField({ description: RANKING_LOADS })
  loads: number[];

  @IntField({ description: ESTABLISHED, ...COUNT })
  established: number;

  @IntField({ description: PROVISIONAL, ...COUNT })
  provisional: number;

  @ObjectField(() => RankingPolicyView, { description: POLICY })
  policy: RankingPolicyView;

  @IntField({ description: REFERENCE_TESTERS, ...COUNT })
  referenceTesters: number;

  @EnumField(RANKING_GAPS, { description: GAP, optional: true })
  gap: RankingGap | null;
}
