import { readConfig } from "../../platform/config/config.js";
import { Database } from "../../platform/database/database.js";
import { runningDatabase } from "../../platform/database/opening/open-database.js";
import { abandonedJobs, dropAbandoned, retryAbandoned } from "../../platform/queue/abandoned-jobs.js";
import { textTable } from "../text-table.js";
import { UsageError } from "../usage-error.js";

/** Jobs that are printed. */
const MAX_SHOWN = 200;
/** Characters of a failure's first line that are printed; with --json all of it. */
const ERROR_WIDTH = 100;

interface JobsOptions {
  readonly retry?: string;
  readonly drop?: string;
  readonly json?: true;
}

/** Lists the jobs that failed at every try, in the database of a service of this machine; or has one tried again, or dropped. */
export async function jobs({ retry, drop, json }: JobsOptions): Promise<void> {
  if (retry && drop) throw new UsageError("Either --retry or --drop.");
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  try {
    if (retry) await change(retry, retryAbandoned(database, idOf(retry)), "is queued again");
    else if (drop) await change(drop, dropAbandoned(database, idOf(drop)), "is dropped");
    else await list(database, json === true);
  } finally {
    await database.onApplicationShutdown();
  }
}

function idOf(text: string): string {
  if (/^\d{1,18}$/.test(text)) return text;
  throw new UsageError(`${text} is no id of a job; packledger jobs lists them.`);
}

async function change(id: string, isDone: Promise<boolean>, what: string): Promise<void> {
  if (!(await isDone)) throw new UsageError(`There is no abandoned job ${id}; packledger jobs lists them.`);
  console.log(`Job ${id} ${what}.`);
}

async function list(database: Database, asJson: boolean): Promise<void> {
  const found = await abandonedJobs(database, MAX_SHOWN);
  if (asJson) return console.log(JSON.stringify(found, null, 2));
  if (found.length === 0) return console.log("No job failed at every try.");
  const rows = found.map(({ id, task, key, failures, deaths, since, lastError }) => [
    id,
    since.toISOString().slice(0, 16).replace("T", " "),
    key ?? task,
    String(deaths > 0 ? `${deaths} deaths` : `${failures} failures`),
    (lastError.split("\n")[0] ?? "").slice(0, ERROR_WIDTH),
  ]);
  console.log(textTable(["job", "since (UTC)", "what", "after", "last failure"], rows));
}
