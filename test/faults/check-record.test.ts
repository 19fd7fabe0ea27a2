import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";
import { checkStandings } from "./check-record.js";
import { Crowd } from "./crowd.js";
import { faultsOf } from "./scenario.js";
import { outcomeOf } from "./trial.js";

let app: TestApp;
let client: Client;
beforeAll(async () => {
  app = await startTestApp();
  const { body } = await uploadCase(app, await app.signIn("anna"), "Sprint", "current-offset");
  const payload = { decision: "accept", rules: [], note: "Looks right." };
  const headers = await app.signIn("mona", "moderator");
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers });
  expect(answer.statusCode).toBe(201);
  client = new Client({ connectionString: app.database.connectionString });
  await client.connect();
});
afterAll(async () => {
  await client.end();
  await app.close();
});

describe("standings that are computed anew", () => {
  it("are those that the service has computed", async () => {
    const found = await checkStandings(client);
    expect(found.wrongStandings).toEqual([]);
    expect(found.standings).toBe(await app.database.standing.count());
    expect(found.standings).toBeGreaterThan(0);
  });

  it.each([
    ["another value", "UPDATE standing SET value = value * 1.000001"],
    ["a run too many", "UPDATE standing SET runs = runs + 1"],
    ["no standing", "DELETE FROM standing"],
    ["a standing of a run that is not accepted", "UPDATE run SET review_state = 'pending'"],
  ])("are not: %s", async (_, statement) => {
    await client.query("BEGIN");
    try {
      await client.query(statement);
      expect((await checkStandings(client)).wrongStandings).not.toEqual([]);
    } finally {
      await client.query("ROLLBACK");
    }
  });
});

it("a trial that had no standing to compare has found nothing, and is at fault", () => {
  const faultsWith = (standings: number) => {
    const record = { lost: [], unfinished: [], evaluatedTwice: [], wrongStandings: [], standings };
    return faultsOf(outcomeOf(new Crowd(app.url), record, { done: "nothing" }));
  };
  expect(faultsWith(1)).toEqual([]);
  expect(faultsWith(0)).toEqual([expect.stringMatching(/no run was accepted/)]);
});
