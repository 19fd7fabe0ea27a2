import { ObjectType } from "@nestjs/graphql";
import { SIGN_NAMES, type SignName } from "../../../core/plausibility/signs.js";
import { BooleanField, EnumField, ListField, NumberField, StringField } from "../../../platform/views/index.js";

@ObjectType("PlausibilitySign", { description: "A sign that a run was made up and not measured" })
export class SignView {
  @EnumField(SIGN_NAMES, { description: "Which sign of the list was seen" })
  sign: SignName;

  @NumberField({ description: "What was seen" })
  observed: number;

  @NumberField({ description: "What honest runs keep to" })
  limit: number;

  @StringField({ description: "Symbol of the unit of both; 1 for a pure number", max: 20 })
  unit: string;

  @BooleanField({ description: "Honest runs show it too: it says something only beside another sign" })
  weak: boolean;
}

@ObjectType("Plausibility", { description: "Whether a run looks made up: a reason to look closer, not a verdict" })
export class PlausibilityView {
  @BooleanField({ description: "A sign that is not weak was found" })
  looksMade: boolean;

  @ListField(() => SignView, { description: "The signs that were found" })
  signs: SignView[];
}
