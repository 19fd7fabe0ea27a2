import { InputType } from "@nestjs/graphql";
import type { DeclaredPack } from "../../core/inputs/pack.js";
import { DeclaredBy, IdField, IdListField, StringField, shapeOf } from "../../platform/views/index.js";
import { ANY_OF_A_PACK } from "./register.views.js";

@DeclaredBy(ANY_OF_A_PACK)
@InputType({ description: "What of a pack is to be registered otherwise; what is left out stays" })
export class PackCorrectionInput extends shapeOf<Partial<DeclaredPack>>() {
  @IdListField({ description: "Packs that it is not, where its new name is like theirs", max: 100, optional: true })
  differsFrom?: string[] | null;

  @StringField({ description: "Why, for the record", max: 1_000, multiline: true, optional: true })
  reason?: string | null;
}

@InputType({ description: "Which pack another one was found to be" })
export class MergeInput {
  @IdField({ description: "The pack that specimens and runs become those of" })
  into: string;

  @StringField({ description: "Why, for the record", max: 1_000, multiline: true, optional: true })
  reason?: string | null;
}
