import { ArgsType, ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { CHEMISTRIES, type Chemistry } from "../../core/inputs/pack.js";
import { LOAD_BASES } from "../../core/model.js";
import { STANDINGS_SHOWN, type StandingsShown } from "../../core/ranking/changing-order.js";
import { RANKING_GAPS, type RankingGap } from "../../core/ranking/ranking-gap.js";
import { MAX_POLICY_TESTERS } from "../../core/record/policy.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { ScaleField, WidthField } from "../../platform/pictures/pictures.views.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  declareEnum,
  EnumChoices,
  EnumField,
  IdField,
  IdListField,
  IntChoices,
  IntField,
  IntListField,
  NumberField,
  NumberListField,
  ObjectField,
  StringChoices,
  StringField,
} from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";

declareEnum(STANDINGS_SHOWN, {
  name: "StandingsShown",
  description: "Which standings a ranking lists",
  meanings: {
    established: "Those that enough testers with a record make",
    provisional: "All others, which have no place",
    all: "Both; places are among the established ones",
  },
});

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

const RANKING_ORDERS = ["best-first", "worst-first"] as const;
type RankingOrder = (typeof RANKING_ORDERS)[number];

declareEnum(RANKING_ORDERS, {
  name: "RankingOrder",
  description: "Which end of a ranking comes first",
  meanings: { "best-first": "Place 1 comes first", "worst-first": "The last place comes first" },
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

/** Which protocol's ranking is asked for. */
const byProtocol = {
  description: "Key of the protocol whose runs count; the first one that ranks by the figure when left out",
  max: 64,
  optional: true,
};

const atLoad = {
  description:
    "The standard load, A (R10 series of preferred numbers); when left out, the one with most established standings of the class",
  above: 0,
  max: 10_000,
  optional: true,
  fromText: true,
};

const MASS = { min: 0, max: 1_000_000, optional: true, fromText: true } as const;

@ArgsType()
export class RankingArgs extends PageArgs {
  @StringField(byProtocol)
  protocol?: string | null;

  @NumberField(atLoad)
  load?: number | null;

  @EnumChoices(CHEMISTRIES, { description: "Only these chemistries", optional: true })
  chemistry?: Chemistry[] | null;

  @IntChoices({ description: "Only these numbers of cells in series", min: 1, max: 100, optional: true })
  series?: number[] | null;

  @StringChoices({ description: "Only packs of these makers, whatever the case", max: 80, optional: true })
  maker?: string[] | null;

  @StringChoices({ description: "Only packs with these connectors, whatever the case", max: 40, optional: true })
  connector?: string[] | null;

  @IntField({ description: "Smallest rated capacity, mAh", min: 0, max: 10_000_000, optional: true, fromText: true })
  capacityMin?: number | null;

  @IntField({ description: "Largest rated capacity, mAh", min: 0, max: 10_000_000, optional: true, fromText: true })
  capacityMax?: number | null;

  @NumberField({ description: "Smallest mass, g; packs of unknown mass are left out", ...MASS })
  massMin?: number | null;

  @NumberField({ description: "Largest mass, g; packs of unknown mass are left out", ...MASS })
  massMax?: number | null;

  @EnumField(STANDINGS_SHOWN, { description: "Which standings are listed; established when left out", optional: true })
  standing?: StandingsShown | null;

  @EnumField(RANKING_ORDERS, { description: "Which end comes first; the best when left out", optional: true })
  order?: RankingOrder | null;

  @StringField({
    description: "The ranking as it stood at the end of this day in UTC (full-date of RFC 3339); now when left out",
    max: 10,
    pattern: { source: /^\d{4}-\d{2}-\d{2}$/, message: "must be a date, such as 2026-05-02" },
    optional: true,
  })
  asOf?: string | null;
}

/** As REST asks: it also draws. */
@ArgsType()
export class RankingQuery extends RankingArgs {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

@ArgsType()
export class StandingArgs {
  @StringField(byProtocol)
  protocol?: string | null;

  @NumberField({ ...atLoad, description: "The standard load, A; the one with most runs of the pack when left out" })
  load?: number | null;
}

/** As REST asks: it also draws. */
@ArgsType()
export class StandingQuery extends StandingArgs {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

/** As GraphQL asks; REST has figure and pack in the path. */
@ArgsType()
export class PackStandingArgs extends StandingArgs {
  @EnumField(ALL_FIGURE_KEYS, { description: "Figure by which packs are ranked" })
  figure: string;

  @IdField({ description: "Which pack is asked about, by its id" })
  packId: string;
}

/** As GraphQL asks; REST has the figure in the path. */
@ArgsType()
export class FigureRankingArgs extends RankingArgs {
  @EnumField(ALL_FIGURE_KEYS, { description: "Figure by which packs are ranked" })
  figure: string;
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
