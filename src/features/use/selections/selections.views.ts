import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { CHEMISTRIES, type Chemistry } from "../../../core/inputs/pack.js";
import { GRADES, type Grade } from "../../../core/use/model/pack-model.js";
import { connectionOf, listOf, PageArgs } from "../../../platform/paging/page.js";
import {
  declareEnum,
  EnumField,
  IntField,
  NumberField,
  ObjectField,
  StringListField,
} from "../../../platform/views/index.js";
import { PackView } from "../../packs/packs.views.js";
import { UseLastsView } from "../predictions.views.js";
import { UseInput } from "../use.views.js";

export const SELECTION_ORDERS = ["probability", "margin", "mass", "energy-left"] as const;
export type SelectionOrder = (typeof SELECTION_ORDERS)[number];
declareEnum(SELECTION_ORDERS, {
  name: "SelectionOrder",
  description: "By what packs are ordered first; what is equal then is ordered by the others, as they stand here",
  meanings: {
    probability: "The most probable to hold the use first, to 0.1 %",
    margin: "The largest voltage above the cutoff first, to 10 mV of a cell",
    mass: "The lightest first, to 1 g",
    "energy-left": "The most energy left at the end first, to 0.1 Wh",
  },
});
export const SELECTION_SUBJECTS = ["unknown-specimen", "mean"] as const;
export type SelectionSubject = (typeof SELECTION_SUBJECTS)[number];
declareEnum(SELECTION_SUBJECTS, {
  name: "SelectionSubject",
  description: "Whose packs a selection is of",
  meanings: {
    "unknown-specimen": "Specimens that nobody has tested, such as those from the shop",
    mean: "The means of the specimens that were tested",
  },
});

@InputType("PackClassInput", { description: "Packs of one chemistry with as many cells in series" })
export class PackClassInput {
  @EnumField(CHEMISTRIES, { description: "Cell chemistry" })
  chemistry: Chemistry;

  @IntField({ description: "Cells in series", min: 1, max: 100 })
  series: number;
}

@InputType("SelectionInput", { description: "Which packs of a class hold a use" })
export class SelectionInput {
  @ObjectField(() => PackClassInput, { description: "The packs that are looked through" })
  class: PackClassInput;

  @ObjectField(() => UseInput, { description: "What is asked of them" })
  use: UseInput;

  @NumberField({
    description: "Only packs of this mass or less; those whose mass nobody has stated are left out then",
    unit: "g",
    above: 0,
    max: 1_000_000,
    optional: true,
  })
  massLimitGrams?: number | null;

  @EnumField(SELECTION_ORDERS, { description: "What comes first; probability when left out", optional: true })
  order?: SelectionOrder | null;

  @EnumField(SELECTION_SUBJECTS, {
    description: "Whose packs they are; specimens that nobody has tested when left out",
    optional: true,
  })
  of?: SelectionSubject | null;
}

/** As GraphQL asks; REST has the input in the body. */
@ArgsType()
export class SelectionArgs extends PageArgs {
  @ObjectField(() => SelectionInput, { description: "The class, the use, and what comes first" })
  input: SelectionInput;
}

@ObjectType("SelectedPack", { description: "A pack that holds a use" })
export class SelectedPackView {
  @ObjectField(() => PackView, { description: "Which pack may be chosen" })
  pack: PackView;

  @EnumField(GRADES, { description: "How far its model may be relied on" })
  grade: Grade;

  @NumberField({ description: "Probability that it holds the use with its reserve" })
  probability: number;

  @NumberField({ description: "Smallest voltage of a cell above the cutoff, the reserve drawn too", unit: "V" })
  marginVoltsPerCell: number;

  @NumberField({ description: "Standard uncertainty of that margin", unit: "V" })
  marginUncertainty: number;

  @ObjectField(() => UseLastsView, { description: "How long it goes on, the use being repeated" })
  lasts: UseLastsView;

  @NumberField({ description: "Share of the pack's charge that is left at the end of the use" })
  shareLeft: number;

  @NumberField({ description: "Energy of that charge at the open-circuit voltage; a load draws less", unit: "Wh" })
  energyLeftWh: number;

  @NumberField({ description: "Largest current that it draws", unit: "A" })
  peakA: number;

  @NumberField({
    description: "Continuous current that ladders have verified; null where none has",
    unit: "A",
    optional: true,
  })
  verifiedContinuousA: number | null;

  @StringListField({ description: "What to heed of this pack, beside the cautions of the whole answer", longest: 400 })
  cautions: readonly string[];
}

const MAX_COUNT = 1_000_000;

@ObjectType("SelectionCounts", { description: "What became of the packs of a class" })
export class SelectionCountsView {
  @IntField({ description: "Packs of the class, within the mass limit", min: 0, max: MAX_COUNT })
  packs: number;

  @IntField({ description: "Those of them whose runs make a model", min: 0, max: MAX_COUNT })
  modelled: number;

  @IntField({
    description: "Those of these whose runs tell whether they hold the use; a prediction of one tells what is missing",
    min: 0,
    max: MAX_COUNT,
  })
  answered: number;

  @IntField({ description: "Those of these that hold it, which are listed", min: 0, max: MAX_COUNT })
  holding: number;
}

const CAUTIONS = "Read these first";
const COUNTS = "How many packs were looked through, and how many hold the use";

@ApiSchema({ name: "Selection" })
export class SelectionList extends listOf(SelectedPackView, "SelectedPack") {
  @ApiProperty({ type: "string", isArray: true, description: CAUTIONS })
  cautions: readonly string[];

  @ApiProperty({ type: SelectionCountsView, description: COUNTS })
  counts: SelectionCountsView;
}

@ObjectType("Selection", { description: "A page of the packs of a class that hold a use" })
export class SelectionConnection extends connectionOf(SelectedPackView, "SelectedPack") {
  @StringListField({ description: CAUTIONS, longest: 400 })
  cautions: readonly string[];

  @ObjectField(() => SelectionCountsView, { description: COUNTS })
  counts: SelectionCountsView;
}
