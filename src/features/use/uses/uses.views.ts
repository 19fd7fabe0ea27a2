import { ObjectType } from "@nestjs/graphql";
import { LOG_DEMANDS, type LogDemand } from "../../../core/use/log-demand.js";
import { USE_REMARKS, type UseRemark } from "../../../core/use/log-remarks.js";
import { declareEnum, EnumField, IdField, ListField, NumberField, StringField } from "../../../platform/views/index.js";

declareEnum(LOG_DEMANDS, {
  name: "LogDemand",
  description: "What of a log a use asks of other packs",
  meanings: {
    current: "The amperes that were drawn: the charge is that of the log",
    power: "The watts that were drawn: the energy is that of the log, whatever the voltage of another pack",
  },
});

export class LogDemandQuery {
  @EnumField(LOG_DEMANDS, { description: "What the use asks of other packs; current when left out", optional: true })
  demand?: LogDemand | null;
}

@ObjectType("LoggedStep", { description: "One step of a use that was made of a log, with the mean over its time" })
export class LoggedStepView {
  @NumberField({ description: "How long it lasts", unit: "s" })
  seconds: number;

  @NumberField({ description: "Power of the pack; null where the use asks for a current", unit: "W", optional: true })
  powerW: number | null;

  @NumberField({ description: "Current of the pack; null where the use asks for a power", unit: "A", optional: true })
  currentA: number | null;
}

declareEnum(USE_REMARKS, {
  name: "UseRemarkKind",
  description: "What of a use that was made of a log is less sure than it looks",
  meanings: {
    "gaps-bridged": "The log has gaps, over which the load was taken to go on evenly",
    "sampled-slowly": "The log has less than a sample a second: shorter bursts are missing",
    "loads-averaged": "Loads that lie close together were averaged, since the use would be too large",
    "loads-reordered":
      "Loads were put in rising order within some seconds or minutes, since the use would be too large",
    "spikes-left": "Samples jump as no load does and were not repaired",
    costly: "Predictions and selections take this use of a few packs at a time",
  },
});

@ObjectType("UseRemark", { description: "Something of a use made of a log that is less sure than it looks" })
export class UseRemarkView {
  @EnumField(USE_REMARKS, { description: "What sort of remark it is" })
  kind: UseRemark["kind"];

  @StringField({ description: "What was seen in the log and what it does to the use", max: 500 })
  message: string;
}

@ObjectType("LoggedUse", { description: "A use made of the log of a run: its steps are those of a prediction's use" })
export class LoggedUseView {
  @IdField({ description: "The run whose log it was made of" })
  runId: string;

  @EnumField(LOG_DEMANDS, { description: "What it asks of other packs" })
  demand: LogDemand;

  @NumberField({ description: "From the first load to the last", unit: "s" })
  durationS: number;

  @ListField(() => LoggedStepView, { description: "Steps in their order, from the first load to the last" })
  steps: readonly LoggedStepView[];

  @ListField(() => UseRemarkView, { description: "What of the use is less sure than it looks" })
  remarks: readonly UseRemarkView[];
}
