import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../core/model.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { EnumField, IdField, IntField, NumberField, StringField } from "../../platform/views/index.js";

/** The product itself, as a run's check may also state it without an account. */
@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
export class PackFields {
  @StringField({ description: "Who makes or sells it", max: 80 })
  maker: string;

  @StringField({ description: "What it is sold as", max: 120 })
  name: string;

  @EnumField(CHEMISTRIES, { description: "Cell chemistry" })
  chemistry: Chemistry;

  @IntField({ description: "Cells in series, S", min: 1, max: 100 })
  series: number;

  @IntField({ description: "Strings in parallel, P", min: 1, max: 100 })
  parallel: number;

  @NumberField({ description: "Rated capacity", unit: "mAh", min: 1, max: 10_000_000 })
  ratedCapacityMah: number;

  @NumberField({ description: "Continuous C-rate on the label", unit: "1/h", above: 0, max: 10_000, optional: true })
  labelContinuousC: number | null;

  @NumberField({ description: "Burst C-rate on the label", unit: "1/h", above: 0, max: 10_000, optional: true })
  labelBurstC: number | null;

  @NumberField({ description: "Mass with leads and connector", unit: "g", min: 0.1, max: 10_000_000, optional: true })
  massGrams: number | null;
}

@InputType()
export class PackInput extends PackFields {}

@ObjectType("Pack", { description: "A marketed battery pack" })
export class PackView extends PackFields {
  @IdField({ description: "Id" })
  id: string;
}

@ArgsType()
export class PacksArgs extends PageArgs {
  @EnumField(CHEMISTRIES, { description: "Only this chemistry", optional: true })
  chemistry?: Chemistry | null;

  @IntField({ description: "Only this number of cells in series", min: 1, max: 100, optional: true, fromText: true })
  series?: number | null;

  @StringField({ description: "Only packs whose maker or name has these words", max: 200, optional: true })
  search?: string | null;
}

export const PackList = listOf(PackView, "Pack");
export const PackConnection = connectionOf(PackView, "Pack");
