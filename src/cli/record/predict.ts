import { readFile } from "node:fs/promises";
import { basename } from "node:path";
import type { LogDemand } from "../../core/use/log-demand.js";
import type { LogUseView } from "../../features/runs/log-uses/log-uses.views.js";
import type { PredictionView } from "../../features/use/predictions.views.js";
import { declaredRunIn, requireFile } from "../logs/log-files.js";
import { anyone, type ServerOption } from "../session/client-of.js";
import type { ServiceClient } from "../session/service-client.js";
import { EXIT, type ExitCode, UsageError } from "../usage-error.js";
import { type NamedPack, packNamed } from "./pack-named.js";
import { predictionReportOf } from "./prediction-report.js";

export interface PredictOptions extends ServerOption {
  readonly use?: string;
  readonly log?: string;
  readonly demand?: LogDemand;
  readonly of?: string;
  readonly specimen?: string;
  readonly csv?: boolean;
  readonly json?: boolean;
}

/** Says of packs whether they hold a use: that of a file, or what a log shows was drawn. Some that does not, or of which nothing is known, is told to the shell. */
export async function predict(names: readonly string[], options: PredictOptions): Promise<ExitCode> {
  const { of = null, specimen: specimenId = null, csv, json, ...at } = options;
  const client = await anyone(at);
  const use = await askedUse(client, options);
  const packs: NamedPack[] = [];
  for (const name of names) packs.push(await packNamed(client, name));
  const asked = { packIds: packs.map(({ id }) => id), use, of, specimenId };
  const answer = await client.post<{ items: PredictionView[] }>("/v1/predictions", { json: asked });
  if (csv) process.stdout.write(await client.table("/v1/predictions.csv", "text/csv", asked));
  else console.log(json ? JSON.stringify(answer) : predictionReportOf(packs, answer.items));
  return answer.items.every(({ holds }) => holds) ? EXIT.allConform : EXIT.someDoNotConform;
}

async function askedUse(client: ServiceClient, { use, log, demand }: PredictOptions): Promise<object> {
  const [file, ...others] = [use, log].filter((one) => one !== undefined);
  if (file === undefined || others.length > 0)
    throw new UsageError("Name the use with --use FILE.json, or a log to take it from with --log FILE.");
  if (log === undefined) {
    if (demand !== undefined) throw new UsageError("--demand is of a log: name one with --log.");
    return declaredRunIn(file);
  }
  await requireFile(log);
  const bytes = await readFile(log);
  const form = async () => {
    const parts = new FormData();
    if (demand !== undefined) parts.append("reading", JSON.stringify({ demand }));
    parts.append("log", new Blob([bytes]), basename(log));
    return parts;
  };
  const { steps, durationS, remarks } = await client.post<LogUseView>("/v1/uses", { form });
  console.error(`${log}: ${steps.length} steps, ${Number(durationS.toPrecision(4))} s from the first load to the last`);
  for (const { message } of remarks) console.error(`${log}: ${message}`);
  return { steps };
}
