import { ApiProperty, PartialType } from "@nestjs/swagger";
import { listOf } from "../../../platform/paging/page.js";
import { FieldsField, membersOf } from "../../../platform/views/fields.js";
import { RUN_SUMMARY } from "../../runs/run-list.views.js";
import { QueuedRunView, ReviewsArgs } from "../reviews.views.js";

/** What the queue shows of a run when nothing else is asked for. */
export const QUEUED_RUN_SUMMARY = [
  ...RUN_SUMMARY,
  "risk",
  "claim",
  "appeal",
  "proposals",
] as const satisfies readonly (keyof QueuedRunView)[];

const QUEUED_RUN_MEMBERS = membersOf(QueuedRunView) as readonly (keyof QueuedRunView)[];

/** A run as the queue shows it: its summary with its risk and who is at work on it, or the members that `fields` names. */
export class QueuedRunItem extends PartialType(QueuedRunView) {
  @ApiProperty({ type: "string", description: "Names the run in every address and query" })
  override id: string;
}

export const QueuedRunList = listOf(QueuedRunItem, "QueuedRun");

/** As REST asks for the queue; GraphQL names the fields in its selection. */
export class ReviewListQuery extends ReviewsArgs {
  @FieldsField(QUEUED_RUN_MEMBERS, QUEUED_RUN_SUMMARY)
  fields?: (keyof QueuedRunView)[] | null;
}
