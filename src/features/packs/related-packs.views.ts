import { ObjectType } from "@nestjs/graphql";
import { LIKENESSES, type Likeness } from "../../core/register/likeness.js";
import { declareEnum } from "../../platform/views/enumeration.js";
import { EnumField, ListField, ObjectField } from "../../platform/views/index.js";
import { PackView } from "./packs.views.js";

declareEnum(LIKENESSES, {
  name: "Likeness",
  description: "Why two packs of the record may be one product",
  meanings: {
    "same-name": "Maker and name are the same once case, spaces, ratings and look-alike letters are left out",
    "similar-name": "Maker and name are spelt much alike, and their numbers agree",
  },
});

@ObjectType("SimilarPack", { description: "A pack of the record that another one may be" })
export class SimilarPackView {
  @ObjectField(() => PackView, { description: "Which pack it may be" })
  pack: PackView;

  @EnumField(LIKENESSES, { description: "What they have in common" })
  why: Likeness;
}

@ObjectType("SimilarPacks", { description: "Packs of the record that one of them may be" })
export class SimilarPacksView {
  @ListField(() => SimilarPackView, { description: "The most similar ones first, at most ten" })
  items: SimilarPackView[];
}
