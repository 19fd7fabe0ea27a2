import { ApiSchema } from "@nestjs/swagger";
import { Document, ListOf, Nested, Text, Whole } from "../../platform/views/index.js";
import { MOST_RUNS } from "./batch-upload.js";
import { RunInput } from "./run-inputs.js";
import { RunView } from "./runs.views.js";

@ApiSchema({ name: "BatchRunInput" })
export class BatchRunInput extends RunInput {
  @Text({ description: "File name of the part `log` that is this run's log", max: 255 })
  file: string;
}

@ApiSchema({ name: "BatchManifest" })
export class BatchManifest {
  @ListOf(() => BatchRunInput, { description: "The runs, each with the name of its file", max: MOST_RUNS })
  runs: BatchRunInput[];
}

@ApiSchema({ name: "BatchItem" })
export class BatchItemView {
  @Text({ description: "File name", max: 255 })
  file: string;

  @Whole({ description: "The status that this run alone would have been answered with", min: 200, max: 499 })
  status: number;

  @Nested(() => RunView, { description: "The run; not there when it was refused", optional: true })
  run?: RunView;

  @Document({ description: "Why it was refused (RFC 9457); not there when there is a run", optional: true })
  problem?: object;
}

@ApiSchema({ name: "Batch" })
export class BatchView {
  @ListOf(() => BatchItemView, {
    description: "In the order of the manifest; files that it does not name follow",
    max: 2 * MOST_RUNS,
  })
  items: BatchItemView[];
}
