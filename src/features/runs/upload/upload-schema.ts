import { type ApiBodyOptions, getSchemaPath } from "@nestjs/swagger";
import { CheckInput } from "../checks/check.views.js";
import { BatchManifest } from "./batch.views.js";
import { RunInput } from "./run-inputs.js";

type InputClass = typeof RunInput | typeof CheckInput;

const uploadOf = (input: InputClass): ApiBodyOptions => ({
  schema: {
    type: "object",
    required: ["run", "log"],
    properties: {
      run: { $ref: getSchemaPath(input) },
      log: { type: "string", format: "binary", description: "The log as the logger wrote it; gzip is accepted" },
    },
  },
});

/** The multipart body of a batch. */
export const BATCH_UPLOAD: ApiBodyOptions = {
  schema: {
    type: "object",
    required: ["manifest", "log"],
    properties: {
      manifest: { $ref: getSchemaPath(BatchManifest) },
      log: {
        type: "array",
        items: { type: "string", format: "binary" },
        description: "The logs, each under the file name that the manifest names; 256 MiB together as sent",
      },
    },
  },
};

/** The multipart body of an upload. */
export const RUN_UPLOAD = uploadOf(RunInput);
/** The multipart body of a check. */
export const CHECK_UPLOAD = uploadOf(CheckInput);
