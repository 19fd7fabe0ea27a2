import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { packledger } from "../support/command-line.js";
import { uploadDemoRun } from "../support/demo-run.js";
import { LADDER_BENCH, LADDER_PACK, ladderStepLog } from "../support/ladder-step.js";
import { postForm, register } from "../support/uploads.js";

/** A command of the README, and the lines that it prints; `...` stands for lines that are left out. */
interface Shown {
  readonly command: string;
  readonly lines: readonly string[];
}

function shownIn(section: string): Shown[] {
  const text = readFileSync(join(projectRoot, "README.md"), "utf8").split(`## ${section}\n`)[1] ?? "";
  const code = (text.split("\n## ")[0] ?? "").split("\n").flatMap((line) => /^ {4}(.*)$/.exec(line)?.[1] ?? []);
  const shown: { command: string; lines: string[] }[] = [];
  for (const line of code) {
    const command = /^\$ npx packledger (.*)$/.exec(line)?.[1];
    if (command === undefined) shown.at(-1)?.lines.push(line);
    else shown.push({ command, lines: [] });
  }
  return shown;
}

const SHOWN = shownIn("Packs, runs and ladders at the command line");

let app: TestApp;
const names: Record<string, string> = {};
let token: string;
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("keelbench");
  const moderator = await app.signIn("mona", "moderator");
  token = headers.authorization.slice("Bearer ".length);
  const ids = await register(app, headers, "Rung", {
    log: new Uint8Array(),
    pack: LADDER_PACK,
    bench: LADDER_BENCH,
    conditions: { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null },
  });
  const { packId: _, ...of } = ids;
  const steps: string[] = [];
  for (const setpointA of [60, 80, 90]) {
    const run = { protocol: "current-ladder", ...of, setpointA, ambientC: 21, restMinutes: 30, cycles: 12 };
    const startedAt = "2026-05-02T09:12:00Z";
    const { body } = await postForm(`${app.url}/v1/runs`, { ...run, startedAt }, ladderStepLog(setpointA), { headers });
    steps.push(body.id);
  }
  const first = await uploadDemoRun(app, headers, "run-01");
  const ofAnotherPack = await uploadDemoRun(app, headers, OTHER_PACKS_RUN);
  for (const id of [...steps, first, ofAnotherPack]) {
    const payload = { decision: "accept", rules: [], note: "Looked at." };
    const answer = await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, payload, headers: moderator });
    expect([id, answer.statusCode]).toEqual([id, 201]);
  }
  Object.assign(names, { RUN: first, SPECIMEN: ids.specimenId });
});
afterAll(() => app.close());

/** A run of the demo's under the same protocol, of another pack of the same class. */
const OTHER_PACKS_RUN = "run-06";

/** What differs between two runs of the same command: ids, the day, and the address of the service. */
const without = (text: string) =>
  text
    .replaceAll(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, "ID")
    .replaceAll(/20\d\d-\d\d-\d\d(T[\d:.]+Z)?/g, "DAY")
    .replaceAll(/http:\/\/[\d.]+:\d+/g, "SERVICE");

/** Whether the lines are printed in this order, with nothing between but what `...` stands for. */
function isPrinted(lines: readonly string[], printed: readonly string[]): boolean {
  const [line, ...rest] = lines;
  if (line === undefined) return printed.length === 0;
  if (line.trim() !== "...") return line === printed[0] && isPrinted(rest, printed.slice(1));
  return printed.some((_, skipped) => isPrinted(rest, printed.slice(skipped + 1)));
}

it("shows every command that reads the record", () => {
  const words = SHOWN.map(({ command }) => command.replace(/ [^a-z].*$/, "").split(" ")[0]);
  expect(words).toEqual(expect.arrayContaining(["packs", "runs", "show", "compare", "rankings", "ladder", "plan"]));
});

it.each(SHOWN.map(({ command, lines }) => [command, lines] as const))(
  "the README's `packledger %s` prints what stands below it",
  async (command, lines) => {
    const args = command.replaceAll(/\$([A-Z]+)/g, (_, name: string) => names[name] ?? "").split(" ");
    const env = { PACKLEDGER_SERVER: app.url, PACKLEDGER_TOKEN: token };
    const { code, stdout, stderr } = await packledger(args, env);
    expect([code, stderr]).toEqual([0, ""]);
    const printed = without(stdout.trimEnd()).split("\n");
    const written = lines.map(without);
    expect([isPrinted(written, printed), isPrinted(written, printed) ? written : printed]).toEqual([true, written]);
  },
);
