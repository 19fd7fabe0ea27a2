import { PACKS, type PackKey, RUNS } from "../../../seed/scenario.js";
import type { TestApp } from "../../support/app.js";
import { uploadDemoRun } from "../../support/demo-run.js";
import { StoredRuns } from "../../support/stored-runs.js";

/** Runs of the demo that are public: packs known well and less. */
const ACCEPTED = ["run-01", "run-03", "run-04", "run-05", "run-06", "run-08", "run-14"];
/** Runs that wait for a moderator: an ordinary one, and an altered copy of the first. */
const WAITING = ["run-30", "run-43"];
const VOUCHED = ["keelbench", "gravelnotes", "tidewatch", "hairpin"];

/** A small record to look at, whose moderator is `mona` and whose administrator is `ada`. */
export interface PageRecord {
  /** Of a session of the administrator's. */
  readonly administrator: { readonly authorization: string };
  /** Ids of packs, by their keys in the demo. */
  readonly packs: Readonly<Record<string, string>>;
  /** Ids of runs, by their keys in the demo. */
  readonly runs: Readonly<Record<string, string>>;
}

export async function fillRecord(app: TestApp): Promise<PageRecord> {
  const moderator = await app.signIn("mona", "moderator");
  const administrator = await app.signIn("ada", "administrator");
  const testers = new Map<string, { authorization: string }>();
  for (const handle of VOUCHED) {
    testers.set(handle, await app.signIn(handle));
    await ask(app, moderator, `/v1/testers/${handle}/vouch`, { note: "Known from the track." });
  }
  const runs: Record<string, string> = {};
  for (const key of [...ACCEPTED, ...WAITING]) {
    const { tester } = scenarioRun(key);
    runs[key] = await uploadDemoRun(app, testers.get(tester) ?? { authorization: "" }, key);
    if (WAITING.includes(key)) continue;
    await ask(app, moderator, `/v1/runs/${runs[key]}/reviews`, { decision: "accept", rules: [], note: "Looked at." });
  }
  await new StoredRuns(app).settled();
  return { administrator, packs: await packIds(app), runs };
}

function scenarioRun(key: string) {
  const run = RUNS.find((one) => one.key === key);
  if (!run) throw new Error(`the demo has no ${key}`);
  return run;
}

async function ask(app: TestApp, headers: Record<string, string>, url: string, payload: object): Promise<void> {
  const answer = await app.inject({ method: "POST", url, payload, headers });
  if (answer.statusCode >= 300) throw new Error(answer.body);
}

async function packIds(app: TestApp): Promise<Record<string, string>> {
  const { items } = (await app.inject({ url: "/v1/packs?first=50" })).json<{ items: { id: string; name: string }[] }>();
  const keys = Object.keys(PACKS) as PackKey[];
  return Object.fromEntries(
    items.map(({ id, name }) => [keys.find((key) => PACKS[key].name === name) ?? name, id] as const),
  );
}
