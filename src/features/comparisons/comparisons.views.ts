import { ArgsType, ObjectType } from "@nestjs/graphql";
import { Decimal, Decimals, Id, ListOf, Nested, OneOf, Text, YesNo } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";

@ObjectType("ComparisonColumn", { description: "What is compared: a pack, or a single run of one" })
export class ComparisonColumnView {
  @Id({ description: "Id of the pack or run" })
  id: string;

  @OneOf(["pack", "run"], { description: "Which of both" })
  kind: "pack" | "run";

  @Nested(() => PackView, { description: "The pack" })
  pack: PackView;

  @Nested(() => TesterView, {
    description: "Who tested it; null for a pack, which several have tested",
    optional: true,
  })
  tester: TesterView | null;
}

@ObjectType("ComparisonCell", { description: "One figure of one column, against the baseline" })
export class ComparisonCellView {
  @Decimal({ description: "Value, in the row's unit; null when it is not known", optional: true })
  value: number | null;

  @Decimal({ description: "Standard uncertainty, in the row's unit", optional: true })
  uncertainty: number | null;

  @Decimal({ description: "Value minus that of the baseline, in the row's unit", optional: true })
  difference: number | null;

  @Decimal({ description: "100 (value - baseline) / baseline, %", optional: true })
  differencePercent: number | null;

  @YesNo({ description: "Whether the difference exceeds 2 sqrt(u1^2 + u2^2)", optional: true })
  distinguishable: boolean | null;
}

@ObjectType("ComparisonRow", { description: "One figure of every column" })
export class ComparisonRowView {
  @Text({ description: "Key of the figure", max: 60 })
  figure: string;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Text({ description: "Protocol that it was found under", max: 64 })
  protocol: string;

  @OneOf(["own", "translated"], { description: "Under the runs' own loads, or translated to the reference load" })
  basis: string;

  @ListOf(() => ComparisonCellView, { description: "One cell a column, in their order" })
  cells: ComparisonCellView[];
}

@ObjectType("ComparisonCurve", {
  description: "A run under its own load, for a chart; for a pack, the run nearest to its consensus",
})
export class ComparisonCurveView {
  @Id({ description: "Id of the column" })
  column: string;

  @Id({ description: "The run" })
  runId: string;

  @Decimals({ description: "From the onset of load, s" })
  time: number[];

  @Decimals({ description: "V" })
  voltage: number[];

  @Decimals({ description: "A" })
  current: number[];

  @Decimals({ description: "W" })
  power: number[];
}

@ObjectType("Comparison", { description: "Packs or runs side by side, against a baseline" })
export class ComparisonView {
  @Id({ description: "Id of the column that the others are compared with" })
  baseline: string;

  @ListOf(() => ComparisonColumnView, { description: "What is compared" })
  columns: ComparisonColumnView[];

  @ListOf(() => ComparisonRowView, { description: "The figures" })
  rows: ComparisonRowView[];

  @ListOf(() => ComparisonCurveView, { description: "For a chart" })
  curves: ComparisonCurveView[];
}

const IDS = "ids with commas between them";

@ArgsType()
export class ComparisonArgs {
  @Text({ description: `Packs, ${IDS}`, max: 1_000, optional: true })
  packs?: string | null;

  @Text({ description: `Runs in place of packs, ${IDS}`, max: 1_000, optional: true })
  runs?: string | null;

  @Id({ description: "Which of them the others are compared with; the first when left out", optional: true })
  baseline?: string | null;
}
