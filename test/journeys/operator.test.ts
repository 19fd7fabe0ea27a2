import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { AuditLog } from "../../src/platform/audit-log/audit-log.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { addJob, MAX_ATTEMPTS } from "../../src/platform/queue/add-job.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands } from "../support/command-line.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

const commands = new Commands();
afterAll(() => commands.end());

const operate = (args: readonly string[], variables: Record<string, string> = {}) =>
  commands.run(args, { DATABASE_URL: app.database.connectionString, ...variables });
const packledger = (...args: string[]) => operate(args);

/** The exit code of the built service, which does not come up, and what it says. */
function startService(variables: Record<string, string>): Promise<{ code: number | null; stderr: string }> {
  const env = { ...process.env, DATABASE_URL: app.database.connectionString, ...variables };
  return new Promise((resolve) => {
    const program = join(projectRoot, "dist", "src", "main.js");
    const child = execFile(process.execPath, [program], { env }, (_, __, stderr) =>
      resolve({ code: child.exitCode, stderr }),
    );
  });
}

/** As somebody would who may do everything to the database. */
const tamper = (statement: string) =>
  app.database.$transaction(async (tx) => {
    await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
    await tx.$executeRawUnsafe(statement);
  });

describe("an operator", () => {
  it("is told which variable to set when another program has the port", async () => {
    const { code, stderr } = await startService({ PORT: new URL(app.url).port });
    expect([code, stderr]).toEqual([1, expect.stringContaining("set another PORT")]);
  });

  it("grants a role, and the record says that nobody with an account did it", async () => {
    const headers = await app.signIn("olga");
    expect((await packledger("grant", "OLGA", "--role", "moderator")).code).toBe(0);
    expect((await app.inject({ url: "/v1/reviews", headers })).statusCode).toBe(200);
    const link = await app.database.auditEntry.findFirstOrThrow({ where: { event: "grant" } });
    expect(link).toMatchObject({ actorId: null, fromState: "tester", toState: "moderator" });
    expect((await packledger("grant", "nobody-here", "--role", "moderator")).code).toBe(2);
  });

  it("verifies the record, with a hash that was noted", async () => {
    const sound = await packledger("audit");
    const [, noted = ""] = /Hash of the last: ([0-9a-f]{64})/.exec(sound.stdout) ?? [];
    expect([sound.code, noted.length]).toEqual([0, 64]);
    expect((await packledger("audit", "--noted", noted)).code).toBe(0);
    expect((await packledger("audit", "--noted", "0f".repeat(32))).code).toBe(1);
  });

  it("keeps a signed checkpoint outside the database, against which a cut or rewritten record shows", async () => {
    const folder = await mkdtemp(join(tmpdir(), "packledger-checkpoint-"));
    const [file, key] = [join(folder, "checkpoint.json"), join(folder, "key.pem")];
    const audit = (...args: string[]) => operate(["audit", ...args], { AUDIT_KEY_FILE: key });
    try {
      const made = await audit("--checkpoint", file);
      const [, publicKey = ""] = /Public key: ([\w-]{43})$/m.exec(made.stdout) ?? [];
      expect([made.code, publicKey.length]).toEqual([0, 43]);
      expect((await audit("--against", file)).code).toBe(0);
      const elsewhere = operate(["audit", "--against", file, "--public-key", publicKey], {
        AUDIT_KEY_FILE: "none",
      });
      expect((await elsewhere).code).toBe(0);
      const forged = { ...JSON.parse(await readFile(file, "utf8")), length: 1 };
      await writeFile(`${file}.forged`, JSON.stringify(forged));
      expect((await audit("--against", `${file}.forged`)).stderr).toContain("signature");

      const { entries } = await verifyChain(app.database);
      const last = await app.database.auditEntry.findUniqueOrThrow({ where: { position: entries } });
      await tamper(`DELETE FROM audit_log WHERE position = ${entries}`);
      expect(await audit("--against", file)).toMatchObject({ code: 1, stdout: expect.stringContaining("truncated") });
      await app.nest.get(AuditLog).transaction(async (tx) => {
        const subject = { kind: "key", id: "another" } as const;
        app.nest.get(AuditLog).record(tx, { actorId: null, event: "create", subject });
      });
      expect(await audit("--against", file)).toMatchObject({ code: 1, stdout: expect.stringContaining("rewritten") });
      await tamper(`DELETE FROM audit_log WHERE position = ${entries}`);
      await app.database.auditEntry.create({ data: last });
      expect((await audit("--against", file)).code).toBe(0);
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  it("lists the jobs that failed at every try, and has one tried again or dropped", async () => {
    expect((await packledger("jobs")).stdout).toContain("No job failed at every try.");
    for (const key of ["one", "two"])
      await app.database.$transaction((tx) => addJob(tx, "nobody-does-this", { of: key }, key));
    await app.database.$queryRaw`
      SELECT job.id::text FROM graphile_worker.jobs AS job, graphile_worker.permanently_fail_jobs(ARRAY[job.id], 'It broke. At line 1')
      WHERE task_identifier = 'nobody-does-this'`;
    const listed = JSON.parse((await packledger("jobs", "--json")).stdout) as { id: string; key: string }[];
    expect(listed).toEqual(
      ["two", "one"].map((key) =>
        expect.objectContaining({ key, task: "nobody-does-this", failures: MAX_ATTEMPTS, deaths: 0 }),
      ),
    );
    expect((await packledger("jobs")).stdout).toContain("It broke.");
    const [two, one] = listed.map(({ id }) => id);
    expect((await packledger("jobs", "--retry", two ?? "")).code).toBe(0);
    expect((await packledger("jobs", "--drop", one ?? "")).code).toBe(0);
    for (const id of [one, two, "no-id"]) expect((await packledger("jobs", "--retry", id ?? "")).code).toBe(2);
    const left = await app.database.$queryRaw`
      SELECT id::text, attempts, max_attempts AS "maxAttempts" FROM graphile_worker.jobs WHERE task_identifier = 'nobody-does-this'`;
    expect(left).toEqual([{ id: two, attempts: 0, maxAttempts: MAX_ATTEMPTS }]);
  });

  it("is told where the record is broken", async () => {
    await tamper("UPDATE audit_log SET to_state = 'administrator' WHERE event = 'grant'");
    const broken = await packledger("audit");
    expect([broken.code, broken.stdout]).toEqual([1, expect.stringContaining("broken at entry 2: it was changed")]);
  });
});
