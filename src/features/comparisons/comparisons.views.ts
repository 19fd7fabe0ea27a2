import { ObjectType } from "@nestjs/graphql";
import { BOUNDS, type Bound, LOAD_BASES } from "../../core/model.js";
import { READ_QUANTITIES, READING_KINDS, type ReadQuantity } from "../../core/readings/read-at-will.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  declareEnum,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  NumberListField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { LadderStepView } from "../ladders/ladders.views.js";
import { PackView } from "../packs/packs.views.js";
import { SpecimenView } from "../specimens/specimens.views.js";

export const COMPARED_KINDS = ["pack", "run", "specimen", "ladder"] as const;
export type ComparedKind = (typeof COMPARED_KINDS)[number];
/** Those that are told apart by the label of a specimen. */
export const OF_SPECIMENS: ReadonlySet<string> = new Set(["specimen", "ladder"]);

declareEnum(COMPARED_KINDS, {
  name: "ComparedKind",
  description: "What a column of a comparison stands for",
  meanings: {
    pack: "A pack, by all its accepted runs",
    run: "A single run",
    specimen: "A single specimen of a pack, by its newest 50 accepted runs",
    ladder: "The constant-current runs of a specimen, by its accepted steps",
  },
});

@ObjectType("ComparisonColumn", { description: "What is compared: a pack, or a run, a specimen or a ladder of one" })
export class ComparisonColumnView {
  @IdField({ description: "Id of the pack, run or specimen; of a ladder, that of its specimen" })
  id: string;

  @EnumField(COMPARED_KINDS, { description: "Whether the column is a pack, a run, a specimen or a ladder" })
  kind: ComparedKind;

  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @ObjectField(() => TesterView, {
    description: "Who tested it; null for a pack, which several have tested",
    optional: true,
  })
  tester: TesterView | null;

  @ObjectField(() => SpecimenView, { description: "Which single one of the pack; null for a pack", optional: true })
  specimen: SpecimenView | null;
}

@ObjectType("ComparisonCell", { description: "One figure of one column, against the baseline" })
export class ComparisonCellView {
  @NumberField({ description: "Value, in the row's unit; null when it is not known", optional: true })
  value: number | null;

  @NumberField({ description: "Standard uncertainty, in the row's unit", optional: true })
  uncertainty: number | null;

  @EnumField(BOUNDS, {
    description: "Whether the true value may be larger or smaller; null when the value is not known",
    optional: true,
  })
  bound: Bound | null;

  @BooleanField({
    description: "Of a pack: whether its confirmed value stays, since what the results give has left it; else null",
    optional: true,
  })
  disputed: boolean | null;

  @IntField({ description: "Testers behind the value", min: 1, max: 1_000_000_000, optional: true })
  testers: number | null;

  @IntField({ description: "Runs behind the value", min: 1, max: 1_000_000_000, optional: true })
  runs: number | null;

  @NumberField({
    description: "Value minus that of the baseline, in the row's unit; null where either is a bound",
    optional: true,
  })
  difference: number | null;

  @NumberField({ description: "100 (value - baseline) / baseline, %", optional: true })
  differencePercent: number | null;

  @NumberField({ description: "Standard uncertainty of the difference, in the row's unit", optional: true })
  differenceUncertainty: number | null;

  @NumberField({ description: "Standard uncertainty of the difference in percent, %", optional: true })
  differencePercentUncertainty: number | null;

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

@ObjectType("ComparisonReading", { description: "One quantity of every column where the reader chose to read it" })
export class ComparisonReadingView {
  @EnumField(READING_KINDS, { description: "A mark, a span, or the cutoff" })
  kind: (typeof READING_KINDS)[number];

  @NumberField({ description: "Where the mark or span begins, s from the onset of load" })
  fromS: number;

  @NumberField({
    description: "Where the mark or span ends, s from the onset of load; null at the cutoff, which each has its own of",
    optional: true,
  })
  toS: number | null;

  @EnumField(READ_QUANTITIES, { description: "What was read there" })
  quantity: ReadQuantity;

  @StringField({ description: "Symbol of the unit of its values", max: 20 })
  unit: string;

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

  @NumberListField({ description: "Charge drawn as a share of that at the end of the curve" })
  chargeShare: number[];

  @NumberListField({
    description:
      "Temperature of the pack at the same charge of the run under its own load, degC; empty where none was logged",
  })
  temperature: number[];

  @NumberField({
    description: "Half-width of the band of uncertainty about the power, %: twice the standard uncertainty at 10 s",
    optional: true,
  })
  powerBandPercent: number | null;

  @NumberField({
    description: "Half-width of the band of uncertainty about the voltage, %: twice the standard uncertainty at 10 s",
    optional: true,
  })
  voltageBandPercent: number | null;
}

@ObjectType("ComparisonStepCell", { description: "The step of one ladder in a row of steps" })
export class ComparisonStepCellView {
  @ObjectField(() => LadderStepView, { description: "The step; null where the ladder has none here", optional: true })
  step: LadderStepView | null;
}

@ObjectType("ComparisonStep", { description: "The steps of every ladder at about one current" })
export class ComparisonStepView {
  @NumberField({ description: "Mean of the currents that were set, or else measured", unit: "A" })
  currentA: number;

  @ListField(() => ComparisonStepCellView, { description: "One cell a column, in their order" })
  cells: ComparisonStepCellView[];
}

@ObjectType("Comparison", { description: "Packs, runs, specimens or ladders side by side, against a baseline" })
export class ComparisonView {
  @IdField({ description: "Id of the column that the others are compared with" })
  baseline: string;

  @NumberField({
    description: "The standard load of the curves and of the translated rows, A; null where no column has any",
    optional: true,
  })
  load: number | null;

  @StringField({
    description: "Address of this comparison with everything written out that was chosen for it",
    max: 2_000,
  })
  link: string;

  @ListField(() => ComparisonColumnView, { description: "What is compared" })
  columns: ComparisonColumnView[];

  @ListField(() => ComparisonRowView, {
    description: "A row for each figure that any column has: the marks first, each in W, V and A",
  })
  rows: ComparisonRowView[];

  @ListField(() => ComparisonReadingView, {
    description:
      "What was read at your marks and spans and to your cutoff, under the standard load; empty when you chose none",
  })
  readings: ComparisonReadingView[];

  @ListField(() => ComparisonStepView, {
    description:
      "Of ladders: their steps, those within 1 % of each other's current in one row; empty for anything else",
  })
  steps: ComparisonStepView[];

  @ListField(() => ComparisonCurveView, {
    description: "Voltage, current, power and charge over time of the columns that reach the load",
  })
  curves: ComparisonCurveView[];
}

/** What of a comparison fits a table. */
export type ComparisonTable = Omit<ComparisonView, "curves">;
