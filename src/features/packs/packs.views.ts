import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry, type DeclaredPack, PACK_FACTS } from "../../core/inputs/pack.js";
import { PACK_STATUSES, type PackStatus } from "../../core/register/pack-status.js";
import { Node } from "../../platform/graphql/node.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { declareEnum } from "../../platform/views/enumeration.js";
import {
  DeclaredBy,
  EnumField,
  IdField,
  IdListField,
  IntField,
  StringField,
  shapeOf,
} from "../../platform/views/index.js";

declareEnum(PACK_STATUSES, {
  name: "PackStatus",
  description: "What moderators have said of a pack",
  meanings: {
    proposed: "A tester has registered it, and no moderator has confirmed it",
    confirmed: "A moderator found it to be as it is registered",
    hidden: "It is shown in no list and ranking",
  },
});

/** The product itself, as a run's check may also state it without an account. */
@DeclaredBy(PACK_FACTS)
@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
export class PackFields extends shapeOf<DeclaredPack>() {}

@InputType({ description: "A product to register, as its label states it" })
export class PackInput extends PackFields {
  @IdListField({
    description: "Packs of the record that it was taken for and is not: each candidate of the problem `similar-pack`",
    max: 100,
    optional: true,
  })
  differsFrom?: string[] | null;
}

@ObjectType("Pack", { description: "A marketed battery pack", implements: () => [Node] })
export class PackView extends PackFields {
  @IdField({ description: "Names the pack in rankings, comparisons and runs" })
  id: string;

  @EnumField(PACK_STATUSES, {
    description: "Proposed by a tester, confirmed by a moderator, or hidden from lists and rankings",
  })
  status: PackStatus;
}

@ArgsType()
export class PacksArgs extends PageArgs {
  @EnumField(CHEMISTRIES, { description: "Only this chemistry", optional: true })
  chemistry?: Chemistry | null;

  @IntField({ description: "Only this number of cells in series", min: 1, max: 100, optional: true, fromText: true })
  series?: number | null;

  @EnumField(PACK_STATUSES, {
    description: "Only packs of which moderators have said this; a hidden one is in no list",
    optional: true,
  })
  status?: PackStatus | null;

  @StringField({
    description:
      "Only packs whose maker or name contains these words; where there are none, those spelt much like them",
    max: 200,
    optional: true,
  })
  search?: string | null;
}

export const PackList = listOf(PackView, "Pack");
export const PackConnection = connectionOf(PackView, "Pack");
