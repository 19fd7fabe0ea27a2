import { ApiSchema } from "@nestjs/swagger";
import { IntField, JsonField, ListField, ObjectField, StringField } from "../../../platform/views/index.js";
import { RunView } from "../runs.views.js";
import { MAX_RUNS } from "./batch-upload.js";
import { RunInput } from "./run-inputs.js";

@ApiSchema({ name: "BatchRunInput" })
export class BatchRunInput extends RunInput {
  @StringField({ description: "File name of the part `log` that is this run's log", max: 255 })
  file: string;
}

@ApiSchema({ name: "BatchManifest" })
export class BatchManifest {
  @ListField(() => BatchRunInput, { description: "The runs, each with the name of its file", max: MAX_RUNS })
  runs: BatchRunInput[];
}

@ApiSchema({ name: "BatchItem" })
export class BatchItemView {
  @StringField({ description: "File name", max: 255 })
  file: string;

  @IntField({ description: "The status that this run alone would have been answered with", min: 200, max: 499 })
  status: number;

  @ObjectField(() => RunView, { description: "The run; not there when it was refused", optional: true })
  run?: RunView;

  @JsonField({ description: "Why it was refused (RFC 9457); not there when there is a run", optional: true })
  problem?: object;
}

@ApiSchema({ name: "Batch" })
export class BatchView {
  @ListField(() => BatchItemView, {
    description: "In the order of the manifest; files that it does not name follow",
    max: 2 * MAX_RUNS,
  })
  items: BatchItemView[];
}
