import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, expect, test } from "@jest/globals";
import { Piscina } from "piscina";
import { PROTOCOLS } from "../../src/core/protocol/index.js";
import {
  type EvaluationOutcome,
  type EvaluationTask,
  evaluateLog,
} from "../../src/features/runs/evaluation/evaluation-thread.js";

const FIXTURES = fileURLToPath(new URL("../cross-checks/fixtures/", import.meta.url));
const MODULE = fileURLToPath(new URL("../../src/features/runs/evaluation/evaluation-thread.ts", import.meta.url));
const TYPESCRIPT = new URL("../support/jest/typescript.js", import.meta.url).href;

const pool = new Piscina({ filename: MODULE, maxThreads: 1, execArgv: ["--import", TYPESCRIPT] });
afterAll(() => pool.close());

const names = readdirSync(FIXTURES)
  .filter((name) => name.endsWith(".meta.json"))
  .map((name) => name.replace(".meta.json", ""));

function taskOf(name: string): EvaluationTask {
  const meta = JSON.parse(readFileSync(join(FIXTURES, `${name}.meta.json`), "utf8"));
  const protocol = PROTOCOLS.find(({ key, version }) => key === meta.protocol.key && version === meta.protocol.version);
  if (!protocol) throw new Error(`${name} names no protocol`);
  const { pack, bench, conditions, discharge = null } = meta;
  return { log: join(FIXTURES, `${name}.csv`), protocol, facts: { pack, bench, conditions, discharge } };
}

/** Numbers as text tell every bit of them apart, but for the sign of zero; the stored trace is told apart by its digest. */
function textOf(outcome: EvaluationOutcome): string {
  if ("unreadable" in outcome) throw new Error(outcome.unreadable.message);
  const trace = createHash("sha256").update(outcome.trace.data).digest("hex");
  return JSON.stringify({ ...outcome, trace }, null, 1);
}

test.each(names)("%s gives the same bits on two threads, of its file and of its bytes", async (name) => {
  const task = taskOf(name);
  const first = textOf(await evaluateLog(task));
  expect(first).toMatch(/"findings": \[\s*\{/);
  expect(textOf(await pool.run(task, { name: "evaluateLog" }))).toBe(first);
  const log = Uint8Array.from(readFileSync(task.log as string));
  expect(textOf(await pool.run({ ...task, log }, { name: "evaluateLog", transferList: [log.buffer] }))).toBe(first);
});
