import { InputType, ObjectType } from "@nestjs/graphql";
import { LOG_DEMANDS, type LogDemand } from "../../../core/use/log-demand.js";
import { EnumField, JsonField, ListField, NumberField, ObjectField } from "../../../platform/views/index.js";
import { LoggedStepView, UseRemarkView } from "../../use/uses/uses.views.js";
import { AdjustmentView, LogView } from "../evaluation/evaluation.views.js";

@InputType()
export class LogReadingInput {
  @EnumField(LOG_DEMANDS, { description: "What the use asks of other packs; current when left out", optional: true })
  demand?: LogDemand | null;

  @JsonField({
    description: "Which column is which, as for a run; needed where the headers leave it open",
    optional: true,
  })
  columns?: object | null;
}

@ObjectType("LogUse", { description: "A use made of a log that was sent, and how the log was read; nothing is stored" })
export class LogUseView {
  @EnumField(LOG_DEMANDS, { description: "What it asks of other packs" })
  demand: LogDemand;

  @NumberField({ description: "From the first load to the last", unit: "s" })
  durationS: number;

  @ListField(() => LoggedStepView, { description: "Steps in their order: the steps of a prediction's use" })
  steps: readonly LoggedStepView[];

  @ObjectField(() => LogView, { description: "The log, and how each of its columns was read" })
  log: LogView;

  @ListField(() => AdjustmentView, { description: "What was changed in reading it" })
  adjustments: readonly AdjustmentView[];

  @ListField(() => UseRemarkView, { description: "What of the use is less sure than it looks" })
  remarks: readonly UseRemarkView[];
}
