import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import type { Facts } from "../../core/inputs/fact.js";
import { type DeclaredPack, PACK_FACTS } from "../../core/inputs/pack.js";
import { declareEnum } from "../../platform/views/enumeration.js";
import {
  DateTimeField,
  DeclaredBy,
  EnumListField,
  IdField,
  ObjectField,
  StringField,
  shapeOf,
} from "../../platform/views/index.js";

/** The facts of a pack, each of which may be left out. */
export const ANY_OF_A_PACK = Object.fromEntries(
  Object.entries(PACK_FACTS).map(([name, fact]) => [name, { ...fact, optional: true }]),
) as Facts;

/** What of a pack a moderator holds against the product itself. */
export const CHECKED = ["label", "mass", "connector", "leads"] as const;
export type Checked = (typeof CHECKED)[number];

declareEnum(CHECKED, {
  name: "CheckedPart",
  description: "What of a pack was held against the product itself",
  meanings: {
    label: "The label as printed: maker, name, cells, rated capacity, C-rates",
    mass: "The mass with leads and connector",
    connector: "What the main leads end in",
    leads: "The size of the main leads",
  },
});

@DeclaredBy(ANY_OF_A_PACK)
@InputType({ description: "A pack as it was looked at; what is left out is not compared" })
export class SeenPackInput extends shapeOf<Partial<DeclaredPack>>() {}

@InputType({ description: "What was found to be as it is registered" })
export class ConfirmationInput {
  @EnumListField(CHECKED, { description: "What was held against the product; the label as printed is among it" })
  checked: Checked[];

  @StringField({ description: "By what, such as a picture of the label", max: 1_000, multiline: true, optional: true })
  reason?: string | null;

  @ObjectField(() => SeenPackInput, {
    description: "The pack as you saw it: it is not confirmed where it has been corrected since",
    optional: true,
  })
  seen?: SeenPackInput | null;
}

@InputType({ description: "Why a pack is hidden or an account suspended" })
export class ReasonInput {
  @StringField({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

/** Why something is taken back; in the query, since a DELETE has no body (RFC 9110, 9.3.5). */
@ArgsType()
export class UndoArgs {
  @StringField({ description: "Why, for the record", max: 1_000, multiline: true, optional: true })
  reason?: string | null;
}

@ArgsType()
export class PackUndoArgs extends UndoArgs {
  @IdField({ description: "Which one, by its id" })
  id: string;
}

@ArgsType()
export class LiftArgs extends UndoArgs {
  @StringField({ description: "Handle of the account", max: 64 })
  account: string;
}

@ObjectType("Suspension", { description: "Whether an account is suspended" })
export class SuspensionView {
  @StringField({ description: "Name of the account", max: 32 })
  handle: string;

  @DateTimeField({ description: "Since when; null while it is not", optional: true })
  suspendedAt: string | null;
}
