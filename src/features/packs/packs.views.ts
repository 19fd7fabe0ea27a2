import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../core/model.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { Decimal, Id, OneOf, Text, Whole } from "../../platform/views/index.js";

/** The product itself, as a run's check may also state it without an account. */
@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
export class PackFields {
  @Text({ description: "Who makes or sells it", max: 80 })
  maker: string;

  @Text({ description: "What it is sold as", max: 120 })
  name: string;

  @OneOf(CHEMISTRIES, { description: "Cell chemistry" })
  chemistry: Chemistry;

  @Whole({ description: "Cells in series, S", min: 1, max: 100 })
  series: number;

  @Whole({ description: "Strings in parallel, P", min: 1, max: 100 })
  parallel: number;

  @Decimal({ description: "Rated capacity", unit: "mAh", min: 1, max: 10_000_000 })
  ratedCapacityMah: number;

  @Decimal({ description: "Continuous C-rate on the label", unit: "1/h", above: 0, max: 10_000, optional: true })
  labelContinuousC: number | null;

  @Decimal({ description: "Burst C-rate on the label", unit: "1/h", above: 0, max: 10_000, optional: true })
  labelBurstC: number | null;

  @Decimal({ description: "Mass with leads and connector", unit: "g", min: 0.1, max: 10_000_000, optional: true })
  massGrams: number | null;
}

@InputType()
export class PackInput extends PackFields {}

@ObjectType("Pack", { description: "A marketed battery pack" })
export class PackView extends PackFields {
  @Id({ description: "Id" })
  id: string;
}

@ArgsType()
export class PacksArgs extends PageArgs {
  @OneOf(CHEMISTRIES, { description: "Only this chemistry", optional: true })
  chemistry?: Chemistry | null;

  @Whole({ description: "Only this number of cells in series", min: 1, max: 100, optional: true, fromText: true })
  series?: number | null;

  @Text({ description: "Only packs whose maker or name has these words", max: 200, optional: true })
  search?: string | null;
}

export const PackList = listOf(PackView, "Pack");
export const PackConnection = connectionOf(PackView, "Pack");
