import { ArgsType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../../core/inputs/pack.js";
import { connectionOf, listOf, PageArgs } from "../../../platform/paging/page.js";
import { EnumField, IntField, ListField, NumberField, StringField } from "../../../platform/views/index.js";

const MAX_COUNT = 1_000_000_000;

@ObjectType("ClassLoad", { description: "A standard load at which a class has standings" })
export class ClassLoadView {
  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @IntField({ description: "How many packs of the class are ranked at it", min: 1, max: MAX_COUNT })
  standings: number;

  @IntField({ description: "Those of them that enough testers agree on", min: 0, max: MAX_COUNT })
  established: number;
}

@ObjectType("PackClass", { description: "Packs of one chemistry with as many cells in series" })
export class PackClassView {
  @EnumField(CHEMISTRIES, { description: "Cell chemistry" })
  chemistry: Chemistry;

  @IntField({ description: "Cells in series", min: 1, max: 100 })
  series: number;

  @IntField({ description: "Packs of the record", min: 1, max: MAX_COUNT })
  packs: number;

  @ListField(() => ClassLoadView, { description: "The loads of the ranking by the figure, in rising order" })
  loads: ClassLoadView[];
}

@ArgsType()
export class ClassesArgs extends PageArgs {
  @StringField({ description: "Figure whose standings are counted; power-10s when left out", max: 60, optional: true })
  figure?: string | null;

  @StringField({
    description: "Key of the protocol whose runs count; the first one that ranks by the figure when left out",
    max: 64,
    optional: true,
  })
  protocol?: string | null;
}

export const PackClassList = listOf(PackClassView, "PackClass");
export const PackClassConnection = connectionOf(PackClassView, "PackClass");
