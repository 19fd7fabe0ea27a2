import { Resolver } from "@nestjs/graphql";
import { RunFieldsResolver } from "../../runs/runs.module.js";
import { QueuedRunView } from "../reviews.views.js";

/** A run of the queue has the fields of any run. */
@Resolver(() => QueuedRunView)
export class QueuedRunFieldsResolver extends RunFieldsResolver {}
