import { ApiProperty, OmitType, PartialType } from "@nestjs/swagger";
import { listOf } from "../../platform/paging/page.js";
import { FieldsField, membersOf } from "../../platform/views/fields.js";
import { RunsArgs, RunView } from "./runs.views.js";

/** What a list shows of a run when nothing else is asked for. */
export const RUN_SUMMARY = [
  "id",
  "state",
  "review",
  "verdict",
  "protocol",
  "pack",
  "specimen",
  "tester",
  "startedAt",
  "uploadedAt",
  "setpointA",
  "fileName",
  "keyFigures",
] as const satisfies readonly (keyof RunView)[];

export const RUN_MEMBERS = membersOf(RunView) as readonly (keyof RunView)[];

/** A run as a list shows it: its summary, or the members that `fields` names. */
export class RunListItem extends PartialType(RunView) {
  @ApiProperty({ type: "string", description: "Names the run in every address and query" })
  override id: string;
}

export const RunList = listOf(RunListItem, "Run");

/** As REST asks for a list; GraphQL names the fields in its selection. */
export class RunListQuery extends RunsArgs {
  @FieldsField(RUN_MEMBERS, RUN_SUMMARY)
  fields?: (keyof RunView)[] | null;
}

/** The same for the runs of a pack, which the path names. */
export class PackRunsQuery extends OmitType(RunListQuery, ["packId"]) {}
