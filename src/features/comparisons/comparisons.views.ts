import { ArgsType, ObjectType } from "@nestjs/graphql";
import { LOAD_BASES } from "../../core/model.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  declareEnum,
  EnumField,
  IdField,
  IdListField,
  ListField,
  NumberField,
  NumberListField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";

const COMPARED_KINDS = ["pack", "run"] as const;

declareEnum(COMPARED_KINDS, {
  name: "ComparedKind",
  description: "What a column of a comparison stands for",
  meanings: { pack: "A pack, by all its accepted runs", run: "A single run" },
});

@ObjectType("ComparisonColumn", { description: "What is compared: a pack, or a single run of one" })
export class ComparisonColumnView {
  @IdField({ description: "Id of the pack or run" })
  id: string;

  @EnumField(COMPARED_KINDS, { description: "Whether the column is a pack or a single run" })
  kind: "pack" | "run";

  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @ObjectField(() => TesterView, {
    description: "Who tested it; null for a pack, which several have tested",
    optional: true,
  })
  tester: TesterView | null;
}

@ObjectType("ComparisonCell", { description: "One figure of one column, against the baseline" })
export class ComparisonCellView {
  @NumberField({ description: "Value, in the row's unit; null when it is not known", optional: true })
  value: number | null;

  @NumberField({ description: "Standard uncertainty, in the row's unit", optional: true })
  uncertainty: number | null;

  @NumberField({ description: "Value minus that of the baseline, in the row's unit", optional: true })
  difference: number | null;

  @NumberField({ description: "100 (value - baseline) / baseline, %", optional: true })
  differencePercent: number | null;

  @BooleanField({ description: "Whether the difference exceeds 2 sqrt(u1^2 + u2^2)", optional: true })
  distinguishable: boolean | null;
}

@ObjectType("ComparisonRow", { description: "One figure of every column" })
export class ComparisonRowView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @StringField({ description: "Protocol that it was found under", max: 64 })
  protocol: string;

  @EnumField(LOAD_BASES, { description: "Under the runs' own loads, or translated to a standard load" })
  basis: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @ListField(() => ComparisonCellView, { description: "One cell a column, in their order" })
  cells: ComparisonCellView[];
}

@ObjectType("ComparisonCurve", {
  description: "A run under the common standard load, for a chart; for a pack, the run nearest to its consensus",
})
export class ComparisonCurveView {
  @IdField({ description: "Id of the column" })
  column: string;

  @IdField({ description: "Id of the run that the curve was read from" })
  runId: string;

  @NumberField({ description: "The standard load, A" })
  load: number;

  @NumberListField({ description: "From the onset of load, s" })
  time: number[];

  @NumberListField({ description: "Voltage of the pack, V" })
  voltage: number[];

  @NumberListField({ description: "Current of the pack, A" })
  current: number[];

  @NumberListField({ description: "Power of the pack, W" })
  power: number[];

  @NumberListField({ description: "Charge drawn, Ah" })
  charge: number[];
}

@ObjectType("Comparison", { description: "Packs or runs side by side, against a baseline" })
export class ComparisonView {
  @IdField({ description: "Id of the column that the others are compared with" })
  baseline: string;

  @NumberField({
    description: "The standard load of the curves and of the translated rows, A; null where no column has any",
    optional: true,
  })
  load: number | null;

  @ListField(() => ComparisonColumnView, { description: "What is compared" })
  columns: ComparisonColumnView[];

  @ListField(() => ComparisonRowView, {
    description: "A row for each figure that any column has, in the order of the catalogue",
  })
  rows: ComparisonRowView[];

  @ListField(() => ComparisonCurveView, {
    description: "Voltage, current, power and charge over time of the columns that reach the load",
  })
  curves: ComparisonCurveView[];
}

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
}

/** As REST asks: lists in the query of an address. */
@ArgsType()
export class ComparisonQuery extends ComparisonOptions {
  @StringField({ description: "Packs, ids with commas between them", max: 1_000, optional: true })
  packs?: string | null;

  @StringField({ description: "Runs in place of packs, ids with commas between them", max: 1_000, optional: true })
  runs?: string | null;
}

/** As GraphQL asks. */
@ArgsType()
export class ComparisonArgs extends ComparisonOptions {
  @IdListField({ description: "The packs to compare, 2 to 20", max: MAX_COLUMNS, optional: true })
  packs?: string[] | null;

  @IdListField({ description: "The runs to compare in place of packs, 2 to 20", max: MAX_COLUMNS, optional: true })
  runs?: string[] | null;
}
