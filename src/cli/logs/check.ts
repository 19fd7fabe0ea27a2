import { evaluate } from "../../core/evaluate.js";
import type { Evaluation } from "../../core/model.js";
import { LogError } from "../../core/table/log-error.js";
import { readLogFile } from "../../platform/files/read-log-file.js";
import { EXIT, type ExitCode, UsageError, worst } from "../usage-error.js";
import { type ChoiceOptions, chooseColumns, requireOneLog } from "./choose-columns.js";
import { declaredRunOf, logFilesOf, requireFile } from "./log-files.js";
import { ProgressBar } from "./progress-bar.js";
import { reportOf } from "./report.js";
import { runOfFile } from "./run-of-file.js";

export interface CheckOptions extends ChoiceOptions {
  readonly json?: boolean;
}

type Outcome = { readonly evaluation: Evaluation } | { readonly error: LogError | UsageError };

/** Evaluates logs on this machine, by the same computation as the service. */
export async function check(paths: readonly string[], options: CheckOptions): Promise<ExitCode> {
  const codes: ExitCode[] = [];
  const files = await logFilesOf(paths);
  requireOneLog(files, options);
  for (const file of files) {
    let outcome = await checkFile(file, options);
    const show = () =>
      console.log(options.json ? JSON.stringify(machineForm(file, outcome)) : humanForm(file, outcome));
    show();
    if (!options.json && (await chooseColumns(file, candidatesOf(outcome), options))) {
      outcome = await checkFile(file, options);
      show();
    }
    codes.push(codeOf(outcome));
  }
  return worst(codes);
}

async function checkFile(file: string, options: CheckOptions): Promise<Outcome> {
  const bar = new ProgressBar(file);
  try {
    await requireFile(file);
    const { facts, protocol } = runOfFile(await declaredRunOf(file, options.run));
    const log = readLogFile(file, (progress) => bar.show(progress));
    return { evaluation: (await evaluate(log, facts, protocol)).evaluation };
  } catch (error) {
    if (error instanceof LogError || error instanceof UsageError) return { error };
    throw error;
  } finally {
    bar.end();
  }
}

function candidatesOf(outcome: Outcome) {
  const isUnread = "error" in outcome && outcome.error instanceof LogError;
  return isUnread ? ((outcome.error as LogError).proposal?.candidates ?? []) : [];
}

function codeOf(outcome: Outcome): ExitCode {
  if ("error" in outcome) return EXIT.someFailed;
  return outcome.evaluation.verdict === "nonconforming" ? EXIT.someDoNotConform : EXIT.allConform;
}

function humanForm(file: string, outcome: Outcome): string {
  if ("evaluation" in outcome) return `${reportOf(file, outcome.evaluation)}\n`;
  const { error } = outcome;
  const places = error instanceof LogError ? error.places : [];
  const lines = places.map(
    ({ line, column, message }) =>
      `    ${[...(line ? [`line ${line}`] : []), ...(column ? [`column ${column}`] : [])].join(", ")}: ${message}`,
  );
  return [`${file}: cannot be read`, `  ${error.message}`, ...lines, ""].join("\n");
}

/** As the service would answer a check, with the file's name. */
function machineForm(file: string, outcome: Outcome): object {
  if ("error" in outcome) {
    const { error } = outcome;
    const [code, errors] = error instanceof LogError ? [error.code, error.places] : ["run-file-unusable", []];
    return { file, state: "failed", error: { code, message: error.message, errors } };
  }
  const { verdict, findings, ...rest } = outcome.evaluation;
  return { file, state: "processed", ...rest, conformance: { verdict, findings } };
}
