import { type ApiBodyOptions, getSchemaPath } from "@nestjs/swagger";
import { CheckInput } from "../checks/check.views.js";
import { BatchManifest } from "./batch.views.js";
import { RunInput } from "./run-inputs.js";

type InputClass = typeof RunInput | typeof CheckInput;

/** Media types of the parts: JSON for what is declared; a log as its logger wrote it. */
export const LOG_TYPES =
  "text/csv, text/plain, text/tab-separated-values, application/json, application/gzip, application/zip, application/vnd.openxmlformats-officedocument.spreadsheetml.sheet, application/octet-stream";

export const LOG_PART = {
  type: "string",
  format: "binary",
  description: "The log as the logger wrote it; gzip is accepted",
} as const;

const encodingOf = (declaration: string) => ({
  [declaration]: { contentType: "application/json" },
  log: { contentType: LOG_TYPES },
});

const uploadOf = (input: InputClass): ApiBodyOptions => ({
  required: true,
  encoding: encodingOf("run"),
  schema: {
    type: "object",
    required: ["run", "log"],
    properties: {
      run: { $ref: getSchemaPath(input) },
      log: LOG_PART,
    },
  },
});

/** The multipart body of a batch. */
export const BATCH_UPLOAD: ApiBodyOptions = {
  required: true,
  encoding: encodingOf("manifest"),
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
