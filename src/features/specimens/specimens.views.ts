import { InputType, ObjectType } from "@nestjs/graphql";
import { Node } from "../../platform/graphql/node.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { IdField, IntField, StringField } from "../../platform/views/index.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class SpecimenFields {
  @IdField({ description: "Id of the product that it is a single one of" })
  packId: string;

  @StringField({ description: "What distinguishes it from other specimens of the same pack", max: 80 })
  label: string;

  @IntField({ description: "Age in full cycles", min: 0, max: 100_000 })
  cycles: number;
}

@InputType({ description: "A physical pack to register" })
export class SpecimenInput extends SpecimenFields {}

@ObjectType("Specimen", { description: "One physical pack in one tester's hands", implements: () => [Node] })
export class SpecimenView extends SpecimenFields {
  @IdField({ description: "Names the specimen where runs are uploaded" })
  id: string;
}

export const SpecimenList = listOf(SpecimenView, "Specimen");
export const SpecimenConnection = connectionOf(SpecimenView, "Specimen");
