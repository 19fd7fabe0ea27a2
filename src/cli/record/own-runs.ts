import { REVIEW_STATES } from "../../core/lifecycle/run-lifecycle.js";
import type { RunView } from "../../features/runs/runs.views.js";
import { knownValue } from "../known-value.js";
import { Questioner } from "../session/ask.js";
import { type ServerOption, signedIn } from "../session/client-of.js";
import { succeeded } from "../session/service-client.js";
import { textTable } from "../text-table.js";
import { UsageError } from "../usage-error.js";

interface RunsOptions extends ServerOption {
  readonly state?: string;
  readonly json?: boolean;
}

/** Lists the own runs, the newest first. */
export async function runs({ state, json, ...at }: RunsOptions): Promise<void> {
  const client = await signedIn(at);
  const member = (REVIEW_STATES as readonly string[]).includes(state ?? "") ? "review" : "state";
  const found: RunView[] = [];
  for await (const run of client.list<RunView>(`/v1/runs?mine=true${state ? `&${member}=${state}` : ""}`)) {
    found.push(run);
  }
  if (json) return console.log(JSON.stringify(found));
  if (found.length === 0) return console.log(state ? `You have no run that is ${state}.` : "You have no runs yet.");
  const rows = found.map((run) => [
    run.id,
    run.uploadedAt.slice(0, 10),
    run.protocol.key,
    `${run.pack.maker} ${run.pack.name}`,
    run.state === "processed" ? run.review : run.state,
    run.verdict ?? "-",
    run.fileName,
  ]);
  console.log(textTable(["run", "uploaded", "protocol", "pack", "state", "verdict", "file"], rows));
}

interface ShowOptions extends ServerOption {
  readonly json?: boolean;
}

/** Shows one run: what was found, what failed, what is asked. */
export async function show(id: string, { json, ...at }: ShowOptions): Promise<void> {
  const client = await signedIn(at);
  const run = await client.get<RunView>(`/v1/runs/${encodeURIComponent(id)}`);
  console.log(json ? JSON.stringify(run) : sheetOf(run, at.server));
}

function sheetOf(run: RunView, server: string): string {
  const { conformance, error, question } = run;
  const failed = (conformance?.findings ?? []).filter(({ outcome }) => outcome === "fail");
  const figures = run.keyFigures.map(({ key, value, uncertainty, unit }) => [
    `    ${key}`,
    `${knownValue(value, 2 * uncertainty)} ${unit}`,
  ]);
  return [
    `${run.pack.maker} ${run.pack.name}, ${run.specimen.label}: ${run.protocol.key} ${run.protocol.version}`,
    `  ${server}/v1/runs/${run.id}`,
    `  ${run.fileName}, uploaded ${run.uploadedAt}, ${run.state === "processed" ? run.review : run.state}, ${run.verdict ?? "no verdict"}`,
    ...(error ? [`  cannot be read: ${error.message}`] : []),
    ...(question
      ? [`  you are asked: ${question.note ?? "(the text was erased)"}`, `    packledger answer ${run.id} "..."`]
      : []),
    ...(failed.length > 0 ? ["  failed", ...failed.map(({ rule, message }) => `    ${rule}: ${message}`)] : []),
    ...(figures.length > 0
      ? ["  figures, value +- U with U = 2 u", textTable(["", ""], figures).trimStart().replace(/^/, "    ")]
      : []),
  ].join("\n");
}

interface WithdrawOptions extends ServerOption {
  readonly yes?: boolean;
}

/** Withdraws own runs for good; asks before, where a person can answer. */
export async function withdraw(ids: readonly string[], { yes, ...at }: WithdrawOptions): Promise<void> {
  const client = await signedIn(at);
  if (!yes)
    await requireYes(
      `Withdraw ${ids.length === 1 ? "this run" : `these ${ids.length} runs`} for good? They stay in the record. `,
    );
  for (const id of ids) {
    succeeded(await client.send("DELETE", `/v1/runs/${encodeURIComponent(id)}`));
    console.log(`${id}: withdrawn`);
  }
}

async function requireYes(question: string): Promise<void> {
  if (!process.stdin.isTTY) throw new UsageError("There is no terminal to ask at: say --yes.");
  const questioner = new Questioner();
  try {
    if (!/^y(es)?$/i.test((await questioner.ask(`${question}[y/N] `)).trim()))
      throw new UsageError("Nothing was done.");
  } finally {
    questioner.close();
  }
}

interface AnswerOptions extends ServerOption {
  readonly replacedBy?: string;
}

/** Answers what a moderator asks about a run. */
export async function answer(id: string, note: string, { replacedBy, ...at }: AnswerOptions): Promise<void> {
  const client = await signedIn(at);
  const json = { note, ...(replacedBy ? { replacedBy } : {}) };
  const run = succeeded(await client.send("POST", `/v1/runs/${encodeURIComponent(id)}/answers`, { json }));
  console.log(`${id}: answered, ${run.review}`);
}
