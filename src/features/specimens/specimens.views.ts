import { InputType, ObjectType } from "@nestjs/graphql";
import { PACK_FACTS } from "../../core/inputs/pack.js";
import { Node } from "../../platform/graphql/node.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { IdField, IntField, NumberField, StringField } from "../../platform/views/index.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class SpecimenFields {
  @IdField({ description: "Id of the product that it is a single one of" })
  packId: string;

  @StringField({ description: "What distinguishes it from other specimens of the same pack", max: 80 })
  label: string;

  @IntField({ description: "Age in full cycles", min: 0, max: 100_000 })
  cycles: number;

  @NumberField({ ...PACK_FACTS.massGrams, description: "As its owner weighed it, with leads and connector" })
  massGrams?: number | null;
}

@InputType({ description: "A physical pack to register" })
export class SpecimenInput extends SpecimenFields {}

@InputType({ description: "What of a specimen is to be registered otherwise; what is left out stays" })
export class SpecimenCorrectionInput {
  @StringField({ description: "What distinguishes it from your other ones of that pack", max: 80, optional: true })
  label?: string | null;

  @IntField({ description: "Age in full cycles when it was registered", min: 0, max: 100_000, optional: true })
  cycles?: number | null;

  @NumberField({ ...PACK_FACTS.massGrams, description: "As you weighed it, with leads and connector; null when not" })
  massGrams?: number | null;

  @StringField({ description: "Why, for the record", max: 1_000, multiline: true, optional: true })
  reason?: string | null;
}

@ObjectType("Specimen", { description: "One physical pack in one tester's hands", implements: () => [Node] })
export class SpecimenView extends SpecimenFields {
  @IdField({ description: "Names the specimen where runs are uploaded" })
  id: string;
}

export const SpecimenList = listOf(SpecimenView, "Specimen");
export const SpecimenConnection = connectionOf(SpecimenView, "Specimen");
