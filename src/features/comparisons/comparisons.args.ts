import { ArgsType } from "@nestjs/graphql";
import { MAX_CHOSEN } from "../../core/readings/chosen.js";
import { ScaleField, WidthField } from "../../platform/pictures/pictures.views.js";
import {
  declareEnum,
  EnumChoices,
  EnumField,
  IdField,
  IdListField,
  IntField,
  NumberField,
  NumberListField,
  QueryListField,
  StringField,
  StringListField,
} from "../../platform/views/index.js";

export const DRAWN_QUANTITIES = ["power", "voltage", "current", "temperature"] as const;
export type DrawnQuantity = (typeof DRAWN_QUANTITIES)[number];
export const DRAWN_AGAINST = ["time", "charge", "charge-share"] as const;
export type DrawnAgainst = (typeof DRAWN_AGAINST)[number];
declareEnum(DRAWN_QUANTITIES, {
  name: "DrawnQuantity",
  description: "A quantity of a curve that can be drawn",
  meanings: {
    power: "Power of the pack, W",
    voltage: "Voltage of the pack, V",
    current: "Current of the pack, A",
    temperature: "Temperature of the pack at the same charge under the run's own load, degC",
  },
});
declareEnum(DRAWN_AGAINST, {
  name: "DrawnAgainst",
  description: "What curves are drawn along",
  meanings: {
    time: "Time from the onset of load, s",
    charge: "Charge drawn, Ah",
    "charge-share": "Charge drawn as a share of that at the end of the curve, %",
  },
});

/** Most columns of a comparison. */
export const MAX_COLUMNS = 20;

@ArgsType()
export class ComparisonOptions {
  @IdField({ description: "Which of them the others are compared with; the first when left out", optional: true })
  baseline?: string | null;

  @NumberField({
    description:
      "The standard load, A (R10 series of preferred numbers); when left out, the one that most of them reach",
    above: 0,
    max: 10_000,
    optional: true,
    fromText: true,
  })
  load?: number | null;

  @NumberField({
    description: "Of runs: voltage per cell to read all to, beside the protocol's own cutoff",
    unit: "V",
    above: 0,
    max: 10,
    optional: true,
    fromText: true,
  })
  cutoff?: number | null;

  @IntField({
    description: "Most points of a curve, 240 when left out",
    min: 20,
    max: 2_000,
    optional: true,
    fromText: true,
  })
  points?: number | null;
}

/** As REST asks: lists in the query of an address. */
@ArgsType()
export class ComparisonQuery extends ComparisonOptions {
  @QueryListField({ description: "Ids of the packs, 2 to 20", optional: true })
  packs?: string[] | null;

  @QueryListField({ description: "Ids of the runs to compare in place of packs, 2 to 20", optional: true })
  runs?: string[] | null;

  @QueryListField({
    description: "Ids of the specimens to compare in place of packs, each by its accepted runs, 2 to 20",
    optional: true,
  })
  specimens?: string[] | null;

  @QueryListField({
    description: "Ids of the specimens whose ladders to compare in place of packs, step by step, 2 to 20",
    optional: true,
  })
  ladders?: string[] | null;

  @QueryListField({ description: "Of runs: marks to read all at, s from the onset of load: 20,45", optional: true })
  at?: string[] | null;

  @QueryListField({
    description: "Of runs: spans to read all over, s from the onset of load: 10..30,60..90",
    optional: true,
  })
  span?: string[] | null;

  @EnumChoices(DRAWN_QUANTITIES, {
    description: "Of a picture: what is drawn, in panels; power, voltage and temperature when left out",
    optional: true,
  })
  show?: DrawnQuantity[] | null;

  @EnumField(DRAWN_AGAINST, {
    description: "Of a picture: what the curves go along; time when left out",
    optional: true,
  })
  against?: DrawnAgainst | null;

  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

/** As GraphQL asks. */
@ArgsType()
export class ComparisonArgs extends ComparisonOptions {
  @IdListField({ description: "The packs to compare, 2 to 20", max: MAX_COLUMNS, optional: true })
  packs?: string[] | null;

  @IdListField({ description: "The runs to compare in place of packs, 2 to 20", max: MAX_COLUMNS, optional: true })
  runs?: string[] | null;

  @IdListField({
    description: "The specimens to compare in place of packs, each by its accepted runs, 2 to 20",
    max: MAX_COLUMNS,
    optional: true,
  })
  specimens?: string[] | null;

  @IdListField({
    description: "The specimens whose ladders to compare in place of packs, step by step, 2 to 20",
    max: MAX_COLUMNS,
    optional: true,
  })
  ladders?: string[] | null;

  @NumberListField({
    description: "Of runs: marks to read all at, s from the onset of load",
    max: MAX_CHOSEN,
    optional: true,
  })
  marks?: number[] | null;

  @StringListField({
    description: "Of runs: spans to read all over, s from the onset of load: 10..30",
    max: MAX_CHOSEN,
    longest: 40,
    optional: true,
  })
  spans?: string[] | null;

  @StringField({
    description: "Marks as one string, in place of `marks`, with commas between them: 20,45",
    max: 400,
    optional: true,
  })
  at?: string | null;

  @StringField({
    description: "Spans as one string, in place of `spans`, with commas between them: 10..30,60..90",
    max: 600,
    optional: true,
  })
  span?: string | null;
}
