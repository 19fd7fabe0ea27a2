import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { AccountsService } from "../accounts/accounts.service.js";
import { type Discrepancy, discrepancies } from "./audit-state.js";

const password = "correct horse battery";

let app: TestApp;
let runId: string;
let evaluationId: string;
let accountId: string;
let sha256: string;
beforeAll(async () => {
  app = await startTestApp();
  const anna = await app.signIn("anna");
  await app.inject({ method: "POST", url: "/v1/accounts", payload: { handle: "mona", password } });
  await app.nest.get(AccountsService).grantRole("mona", "moderator");
  const session = await app.inject({ method: "POST", url: "/v1/sessions", payload: { handle: "mona", password } });
  const mona = { authorization: `Bearer ${session.json<{ token: string }>().token}` };
  const { body } = await uploadCase(app, anna, "Sprint", "plain-20hz");
  runId = body.id;
  sha256 = body.log.sha256;
  const accepted = await app.inject({
    method: "POST",
    url: `/v1/runs/${runId}/reviews`,
    payload: { decision: "accept", rules: [], note: "Looked at." },
    headers: mona,
  });
  expect(accepted.statusCode).toBe(201);
  const run = await app.database.run.findUniqueOrThrow({ where: { id: runId } });
  evaluationId = run.currentEvaluationId ?? "";
  accountId = run.testerId;
});
afterAll(() => app.close());

async function found(): Promise<Discrepancy[]> {
  const all: Discrepancy[] = [];
  for await (const one of discrepancies(app.database)) all.push(one);
  return all;
}

/** As somebody would who may do everything to the database. */
async function tamper(statement: string): Promise<void> {
  await app.database.$transaction(async (tx) => {
    await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
    expect(await tx.$executeRawUnsafe(statement)).toBeGreaterThan(0);
  });
}

describe("the audit of what the audit log describes", () => {
  it("finds nothing in a database that nobody tampered with", async () => {
    expect(await found()).toEqual([]);
  });

  it.each([
    [
      "a run's review state",
      () => `UPDATE run SET review_state = 'rejected' WHERE id = '${runId}'`,
      () => `UPDATE run SET review_state = 'accepted' WHERE id = '${runId}'`,
      () => ({ kind: "run", id: runId, why: expect.stringContaining("processed/rejected") }),
    ],
    [
      "a role that no entry granted",
      () => `UPDATE account SET role = 'administrator' WHERE id = '${accountId}'`,
      () => `UPDATE account SET role = 'tester' WHERE id = '${accountId}'`,
      () => ({ kind: "account", id: accountId, why: expect.stringContaining("administrator") }),
    ],
    [
      "a figure",
      () => `UPDATE figure SET value = value * 2 WHERE evaluation_id = '${evaluationId}' AND key = 'capacity'`,
      () => `UPDATE figure SET value = value / 2 WHERE evaluation_id = '${evaluationId}' AND key = 'capacity'`,
      () => ({ kind: "evaluation", id: evaluationId, why: expect.stringContaining("digest") }),
    ],
    [
      "the outcome of a rule",
      () =>
        `UPDATE finding SET message = message || '.' WHERE evaluation_id = '${evaluationId}' AND rule = 'temperature-limit'`,
      () =>
        `UPDATE finding SET message = left(message, -1) WHERE evaluation_id = '${evaluationId}' AND rule = 'temperature-limit'`,
      () => ({ kind: "evaluation", id: evaluationId, why: expect.stringContaining("digest") }),
    ],
    [
      "the outcome of a rule that passed",
      () =>
        `UPDATE other_findings SET data = set_byte(data, 90, get_byte(data, 90) # 1) WHERE evaluation_id = '${evaluationId}'`,
      () =>
        `UPDATE other_findings SET data = set_byte(data, 90, get_byte(data, 90) # 1) WHERE evaluation_id = '${evaluationId}'`,
      () => ({ kind: "evaluation", id: evaluationId, why: expect.stringContaining("digest") }),
    ],
    [
      "a budget",
      () =>
        `UPDATE figure_budget SET data = set_byte(data, 90, get_byte(data, 90) # 1) WHERE evaluation_id = '${evaluationId}'`,
      () =>
        `UPDATE figure_budget SET data = set_byte(data, 90, get_byte(data, 90) # 1) WHERE evaluation_id = '${evaluationId}'`,
      () => ({ kind: "evaluation", id: evaluationId, why: expect.stringContaining("digest") }),
    ],
    [
      "a verdict",
      () => `UPDATE evaluation SET stop = 'operator' WHERE id = '${evaluationId}'`,
      () => `UPDATE evaluation SET stop = 'cutoff' WHERE id = '${evaluationId}'`,
      () => ({ kind: "evaluation", id: evaluationId, why: expect.stringContaining("digest") }),
    ],
    [
      "a byte of a log",
      () =>
        `UPDATE log_chunk SET packed = set_byte(packed, 100, get_byte(packed, 100) # 1) WHERE sha256 = '\\x${sha256}'`,
      () =>
        `UPDATE log_chunk SET packed = set_byte(packed, 100, get_byte(packed, 100) # 1) WHERE sha256 = '\\x${sha256}'`,
      () => ({ kind: "log", id: sha256, why: expect.stringContaining("SHA-256") }),
    ],
  ])("names %s that was changed behind its back", async (_, harm, mend, expected) => {
    await tamper(harm());
    expect(await found()).toEqual([expected()]);
    await tamper(mend());
    expect(await found()).toEqual([]);
  });

  it("names a run that is gone, and one that nobody uploaded", async () => {
    const other = "00000000-0000-7000-8000-000000000002";
    await tamper(`UPDATE audit_log SET subject_id = '${other}' WHERE subject_kind = 'run' AND event = 'upload'`);
    expect(await found()).toEqual([
      expect.objectContaining({ kind: "run", id: other, why: expect.stringContaining("missing") }),
    ]);
    await tamper(`UPDATE audit_log SET subject_id = '${runId}' WHERE subject_kind = 'run' AND event = 'upload'`);
    await tamper(`UPDATE audit_log SET subject_kind = 'key' WHERE subject_kind = 'evaluation'`);
    expect(await found()).toEqual([expect.objectContaining({ kind: "evaluation", id: evaluationId })]);
    await tamper(`UPDATE audit_log SET subject_kind = 'evaluation' WHERE event = 'evaluate'`);
    expect(await found()).toEqual([]);
  });
});
