import { ArgsType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { ALL_FIGURE_KEYS, EnumField, IdField, StringField } from "../../platform/views/index.js";
import { StandingFields } from "./rankings.views.js";

@ObjectType("PackPlace", {
  description: "A pack's standing in one ranking, among the packs of its chemistry and cells in series",
})
export class PackPlaceView extends StandingFields {
  @StringField({ description: "Short name of the protocol, the same for all its versions", max: 64 })
  protocol: string;

  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;
}

@ArgsType()
export class PackStandingsArgs extends PageArgs {
  @StringField({ description: "Only rankings under the protocol of this key", max: 64, optional: true })
  protocol?: string | null;

  @StringField({ description: "Only rankings by this figure", max: 60, optional: true })
  figure?: string | null;
}

/** As GraphQL asks; REST has the pack in the path. */
@ArgsType()
export class StandingsOfPackArgs extends PackStandingsArgs {
  @IdField({ description: "Which pack is asked about, by its id" })
  packId: string;
}

export const PackPlaceList = listOf(PackPlaceView, "PackPlace");
export const PackPlaceConnection = connectionOf(PackPlaceView, "PackPlace");
