import { openAsBlob } from "node:fs";
import { basename } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import type { Verdict } from "../../core/model.js";
import { type ProblemBody, ServiceClient, sentenceOfProblem } from "../session/service-client.js";
import { tokenFor } from "../session/sessions.js";
import { EXIT, type ExitCode, UsageError, worst } from "../usage-error.js";
import { type Candidate, type ChoiceOptions, chooseColumns, requireOneLog } from "./choose-columns.js";
import { declaredRunOf, logFilesOf, requireFile } from "./log-files.js";
import { ProgressBar } from "./progress-bar.js";
import { VERDICT_SENTENCES } from "./report.js";
import { runToUpload } from "./run-to-upload.js";

const LOOK_AGAIN_MS = 1_000;

export interface UploadOptions extends ChoiceOptions {
  readonly server: string;
}

interface UploadedRun {
  readonly id: string;
  readonly state: string;
  readonly error: { readonly message: string; readonly candidates?: readonly Candidate[] | null } | null;
  readonly conformance: { readonly verdict: Verdict } | null;
}

/** Uploads logs one after the other and waits for each evaluation. A file that fails does not stop the others. */
export async function upload(paths: readonly string[], options: UploadOptions): Promise<ExitCode> {
  const { server } = options;
  const client = new ServiceClient(server, await tokenFor(server));
  const codes: ExitCode[] = [];
  const files = await logFilesOf(paths);
  requireOneLog(files, options);
  for (const file of files) {
    const bar = new ProgressBar(file);
    try {
      const uploaded = await uploadChosen(client, file, bar, options);
      bar.end();
      console.log(`${file}: ${outcomeOf(uploaded)}\n  ${server}/v1/runs/${uploaded.id}`);
      codes.push(codeOf(uploaded));
    } catch (error) {
      bar.end();
      if (!(error instanceof UsageError)) throw error;
      console.log(`${file}: not uploaded\n  ${error.message}`);
      codes.push(EXIT.someFailed);
    }
  }
  return worst(codes);
}

/** Once more, where the log leaves columns open and one of the candidates was chosen. */
async function uploadChosen(
  client: ServiceClient,
  file: string,
  bar: ProgressBar,
  options: UploadOptions,
): Promise<UploadedRun> {
  const send = () => uploadFile(client, file, options.run, bar);
  const choose = (candidates: readonly Candidate[]) => {
    bar.end();
    return chooseColumns(file, candidates, options);
  };
  let uploaded: UploadedRun;
  try {
    uploaded = await send();
  } catch (error) {
    if (error instanceof RefusedLog && (await choose(error.candidates))) return send();
    throw error;
  }
  return (await choose(uploaded.error?.candidates ?? [])) ? send() : uploaded;
}

/** A log whose columns the service could not tell. */
class RefusedLog extends UsageError {
  constructor(
    message: string,
    readonly candidates: readonly Candidate[],
  ) {
    super(message);
  }
}

async function uploadFile(
  client: ServiceClient,
  file: string,
  runFile: string | undefined,
  bar: ProgressBar,
): Promise<UploadedRun> {
  await requireFile(file);
  const run = await runToUpload(client, await declaredRunOf(file, runFile));
  const { status, body } = await client.send("POST", "/v1/runs", {
    async form() {
      const form = new FormData();
      form.append("run", JSON.stringify(run));
      form.append("log", await openAsBlob(file), basename(file));
      return form;
    },
  });
  if (status >= 300) {
    const stored = typeof body.runId === "string" ? `\n  ${client.server}/v1/runs/${body.runId}` : "";
    const message = `${sentenceOfProblem(body as ProblemBody)}${stored}`;
    throw new RefusedLog(message, (body.candidates as Candidate[] | undefined) ?? []);
  }
  return whenEvaluated(client, body as unknown as UploadedRun, bar);
}

async function whenEvaluated(client: ServiceClient, sent: UploadedRun, bar: ProgressBar): Promise<UploadedRun> {
  let run = sent;
  while (run.state !== "processed" && run.state !== "failed") {
    for await (const progress of client.progress(run.id)) bar.show(progress);
    run = await client.get<UploadedRun>(`/v1/runs/${run.id}`);
    // The events ended early; the service may have been started anew.
    if (run.state !== "processed" && run.state !== "failed") await delay(LOOK_AGAIN_MS);
  }
  return run;
}

function outcomeOf({ conformance, error }: UploadedRun): string {
  return conformance ? VERDICT_SENTENCES[conformance.verdict] : `cannot be read: ${error?.message ?? ""}`;
}

function codeOf({ conformance }: UploadedRun): ExitCode {
  if (!conformance) return EXIT.someFailed;
  return conformance.verdict === "nonconforming" ? EXIT.someDoNotConform : EXIT.allConform;
}
