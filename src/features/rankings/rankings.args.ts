import { ArgsType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../core/inputs/pack.js";
import { STANDINGS_SHOWN, type StandingsShown } from "../../core/ranking/changing-order.js";
import { PageArgs } from "../../platform/paging/page.js";
import { ScaleField, WidthField } from "../../platform/pictures/pictures.views.js";
import {
  ALL_FIGURE_KEYS,
  declareEnum,
  EnumChoices,
  EnumField,
  IdField,
  IntChoices,
  IntField,
  NumberField,
  StringChoices,
  StringField,
} from "../../platform/views/index.js";

declareEnum(STANDINGS_SHOWN, {
  name: "StandingsShown",
  description: "Which standings a ranking lists",
  meanings: {
    established: "Those that enough testers with a record make",
    provisional: "All others, which have no place",
    all: "Both; places are among the established ones",
  },
});

const RANKING_ORDERS = ["best-first", "worst-first"] as const;
type RankingOrder = (typeof RANKING_ORDERS)[number];

declareEnum(RANKING_ORDERS, {
  name: "RankingOrder",
  description: "Which end of a ranking comes first",
  meanings: { "best-first": "Place 1 comes first", "worst-first": "The last place comes first" },
});

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
