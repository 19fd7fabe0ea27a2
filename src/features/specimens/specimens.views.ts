import { InputType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { Id, Text, Whole } from "../../platform/views/index.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class SpecimenFields {
  @Id({ description: "The pack that it is one of" })
  packId: string;

  @Text({ description: "How its owner tells it from others of the same pack", max: 80 })
  label: string;

  @Whole({ description: "Age in full cycles", min: 0, max: 100_000 })
  cycles: number;
}

@InputType()
export class SpecimenInput extends SpecimenFields {}

@ObjectType("Specimen", { description: "One physical pack in one tester's hands" })
export class SpecimenView extends SpecimenFields {
  @Id({ description: "Id" })
  id: string;
}

export const SpecimenList = listOf(SpecimenView, "Specimen");
export const SpecimenConnection = connectionOf(SpecimenView, "Specimen");
