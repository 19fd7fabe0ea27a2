import { execFile } from "node:child_process";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp();
});
afterAll(() => test.close());

/** Runs the built command on the database of the service. */
function packledger(...args: string[]): Promise<{ code: number; stdout: string }> {
  const env = { ...process.env, DATABASE_URL: test.database.connectionString };
  return new Promise((resolve) => {
    const child = execFile(
      process.execPath,
      [join(projectRoot, "dist", "src", "cli.js"), ...args],
      { env },
      (_, stdout) => resolve({ code: child.exitCode ?? -1, stdout }),
    );
  });
}

describe("an operator", () => {
  it("grants a role, and the record says that nobody with an account did it", async () => {
    const headers = await test.signIn("olga");
    expect((await packledger("grant", "OLGA", "--role", "moderator")).code).toBe(0);
    expect((await test.inject({ url: "/v1/reviews", headers })).statusCode).toBe(200);
    const link = await test.database.transition.findFirstOrThrow({ where: { event: "grant" } });
    expect(link).toMatchObject({ actorId: null, fromState: "tester", toState: "moderator" });
    expect((await packledger("grant", "nobody-here", "--role", "moderator")).code).toBe(2);
  });

  it("verifies the record, with a hash that was noted, and is told where it is broken", async () => {
    const sound = await packledger("audit");
    const [, noted = ""] = /hash ([0-9a-f]{64})/.exec(sound.stdout) ?? [];
    expect([sound.code, noted.length]).toEqual([0, 64]);
    expect((await packledger("audit", "--noted", noted)).code).toBe(0);
    expect((await packledger("audit", "--noted", "0f".repeat(32))).code).toBe(1);
    await test.database.$transaction(async (tx) => {
      await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
      await tx.$executeRawUnsafe("UPDATE transition SET to_state = 'administrator' WHERE event = 'grant'");
    });
    const broken = await packledger("audit");
    expect([broken.code, broken.stdout]).toEqual([1, expect.stringContaining("broken at link 2: it was changed")]);
  });
});
