import { ObjectType } from "@nestjs/graphql";
import { EnumField, NumberField } from "../../../platform/views/index.js";
import { type RunProgress, STAGES, type Stage } from "./progress.js";

@ObjectType("RunProgress", { description: "How far the evaluation of a run has come" })
export class RunProgressView implements RunProgress {
  @EnumField(STAGES, { description: "What is being done; `processed` and `failed` are the last" })
  stage: Stage;

  @NumberField({ description: "Of the log as sent, read so far", unit: "bytes", min: 0 })
  done: number;

  @NumberField({ description: "Size of the log as sent", unit: "bytes", min: 0 })
  total: number;
}
