import { ArgsType, ObjectType } from "@nestjs/graphql";
import { DIRECTIONS } from "../../core/figures/descriptions.js";
import { LOAD_BASES } from "../../core/model.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { ALL_FIGURE_KEYS, BooleanField, EnumField, ListField, StringField } from "../../platform/views/index.js";

@ObjectType("FigureUse", { description: "What a protocol does with a figure" })
export class FigureUseView {
  @StringField({ description: "Key of the protocol, by its active version", max: 64 })
  protocol: string;

  @BooleanField({ description: "Whether packs are ranked by it" })
  ranked: boolean;

  @EnumField(LOAD_BASES, {
    description: "Under the runs' own loads, or translated to a standard load; null where packs are not ranked by it",
    optional: true,
  })
  basis: string | null;
}

@ObjectType("FigureDefinition", { description: "A figure: what it is, and which protocols give it" })
export class FigureDefinitionView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  key: string;

  @StringField({ description: "What it is called where it is shown to people", max: 80 })
  title: string;

  @StringField({ description: "Symbol of the unit of its values, such as W; 1 for a pure number", max: 20 })
  unit: string;

  @EnumField(DIRECTIONS, { description: "Which way is better; null where neither is", optional: true })
  direction: string | null;

  @StringField({ description: "What it is, in short; docs/definitions.md has every step", max: 400 })
  definition: string;

  @BooleanField({ description: "Whether packs are ranked by it under some protocol" })
  ranked: boolean;

  @ListField(() => FigureUseView, { description: "The protocols that give it" })
  protocols: FigureUseView[];
}

@ArgsType()
export class FiguresArgs extends PageArgs {
  @BooleanField({
    description: "Only figures that packs are ranked by, or only the others",
    optional: true,
    fromText: true,
  })
  ranked?: boolean | null;
}

export const FigureDefinitionList = listOf(FigureDefinitionView, "FigureDefinition");
export const FigureDefinitionConnection = connectionOf(FigureDefinitionView, "FigureDefinition");
