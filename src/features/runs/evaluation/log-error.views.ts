import { ObjectType } from "@nestjs/graphql";
import { CHANNELS, type Channel } from "../../../core/model.js";
import { EnumField, IntField, JsonField, ListField, StringField } from "../../../platform/views/index.js";

@ObjectType("LogPlace", { description: "Where in a log something was found; counted from 1" })
export class LogPlaceView {
  @IntField({ description: "Counted from 1, from the top of the file", min: 1, max: 2_147_483_647, optional: true })
  line?: number;

  @IntField({ description: "Counted from 1, from the left", min: 1, max: 1_000_000, optional: true })
  column?: number;

  @StringField({ description: "The text at this place", max: 1_000 })
  message: string;
}

@ObjectType("ColumnCandidate", { description: "A column map that settles a channel; it can be sent as it is" })
export class ColumnCandidateView {
  @EnumField(CHANNELS, { description: "The channel that it settles" })
  channel: Channel;

  @JsonField({ description: "The map, as `columns` of a run or of a saved column map" })
  columns: object;
}

@ObjectType("LogError", { description: "Why a log could not be read" })
export class LogErrorView {
  @StringField({ description: "Code, as of a problem", max: 60 })
  code: string;

  @StringField({ description: "What is wrong with the log and how to fix it", max: 4_000 })
  message: string;

  @ListField(() => LogPlaceView, { description: "Lines and columns of the log that it is about", optional: true })
  errors?: LogPlaceView[] | null;

  @JsonField({ description: "Where columns are open: the map of what is settled", optional: true })
  columns?: object | null;

  @ListField(() => ColumnCandidateView, {
    description: "Where columns are open: the maps to choose from",
    optional: true,
  })
  candidates?: ColumnCandidateView[] | null;
}
