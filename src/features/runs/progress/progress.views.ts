import { ObjectType } from "@nestjs/graphql";
import { declareEnum, EnumField, NumberField } from "../../../platform/views/index.js";
import { type RunProgress, STAGES, type Stage } from "./progress.js";

declareEnum(STAGES, {
  name: "Stage",
  description: "A step on the way from an upload to its figures",
  meanings: {
    queued: "It waits to be evaluated",
    reading: "Its log is being read",
    computing: "Its figures are being computed",
    storing: "They are being stored",
    processed: "They are in the record: the last step",
    failed: "Its log could not be read: the last step",
  },
});

@ObjectType("RunProgress", { description: "How far the evaluation of a run has come" })
export class RunProgressView implements RunProgress {
  @EnumField(STAGES, { description: "What is being done; `processed` and `failed` are the last" })
  stage: Stage;

  @NumberField({ description: "Of the log as sent, read so far", unit: "bytes", min: 0 })
  done: number;

  @NumberField({ description: "Size of the log as sent", unit: "bytes", min: 0 })
  total: number;
}
