import { readFileSync } from "node:fs";
import { glob } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { statementsOf } from "../support/statements.js";
import { uploadCase } from "../support/uploads.js";

const NAMES_HASH = /passwordHash|password_hash/;

it("only the accounts' feature names password hashes, and the database leaves them out where nobody does", async () => {
  const naming: string[] = [];
  for await (const path of glob("src/**/*.ts", { cwd: projectRoot, exclude: ["src/generated/**"] })) {
    if (path.startsWith("src/features/accounts/")) continue;
    if (NAMES_HASH.test(readFileSync(join(projectRoot, path), "utf8"))) naming.push(path);
  }
  expect(naming).toEqual(["src/platform/database/database.ts"]);
});

describe("no statement reads a password hash", () => {
  let app: TestApp;
  let tester: { authorization: string };
  let moderator: { authorization: string };
  let administrator: { authorization: string };
  let run: string;
  beforeAll(async () => {
    app = await startTestApp();
    tester = await app.signIn("anna");
    moderator = await app.signIn("mona", "moderator");
    administrator = await app.signIn("ada", "administrator");
    run = (await uploadCase(app, tester, "Sprint", "truth-4s-10hz")).body.id;
    await app.inject({ method: "POST", url: `/v1/reviews/${run}/claim`, headers: moderator });
  });
  afterAll(() => app.close());

  const reading = async (work: () => Promise<unknown>) =>
    (await statementsOf(app, work)).filter(({ text }) => NAMES_HASH.test(text)).map(({ text }) => text);

  it.each([
    ["a run", () => `/v1/runs/${run}`],
    ["a list of runs", () => "/v1/runs?mine=true"],
    ["the queue of reviews", () => "/v1/reviews"],
    ["the evidence of a run", () => `/v1/reviews/${run}/evidence/full`],
    ["the copies of a run", () => `/v1/runs/${run}/copies`],
    ["re-evaluations", () => "/v1/reevaluations"],
    ["one's own account", () => "/v1/accounts/me"],
    ["one's own sessions", () => "/v1/sessions"],
  ])("for %s", async (_, url) => {
    for (const headers of [tester, moderator, administrator]) {
      expect(await reading(() => app.inject({ url: url(), headers }))).toEqual([]);
    }
  });

  it("of an account that is included where nobody names what of it", async () => {
    const { tester: included } = await app.database.run.findFirstOrThrow({ include: { tester: true } });
    expect(Object.keys(included)).toContain("handle");
    expect(Object.keys(included)).not.toContain("passwordHash");
  });

  it("but where a password is checked", async () => {
    const payload = { handle: "anna", password: "not the password" };
    expect(await reading(() => app.inject({ method: "POST", url: "/v1/sessions", payload }))).toHaveLength(1);
  });
});
