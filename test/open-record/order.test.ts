import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { startTestApp, type TestApp } from "../support/app.js";
import { Mirror } from "../support/mirror.js";
import { StoredRuns } from "../support/stored-runs.js";

const WRITERS = 6;
const EACH = 15;

let app: TestApp;
const accepted: string[] = [];
const clients: Client[] = [];
beforeAll(async () => {
  app = await startTestApp();
  const runs = new StoredRuns(app);
  for (let n = 0; n < WRITERS; n++) accepted.push(await runs.add(`tester-${n}`, "Sprint"));
  await runs.settled();
  for (let n = 0; n < WRITERS; n++) {
    const client = new Client({ connectionString: app.database.connectionString });
    await client.connect();
    clients.push(client);
  }
});
afterAll(async () => {
  for (const client of clients) await client.end();
  await app.close();
});

const rename = (client: Client, run: string, fileName: string) =>
  client.query("UPDATE run SET file_name = $2 WHERE id = $1", [run, fileName]);
const readOf = ({ read }: Mirror) => read.filter(({ kind }) => kind === "run");

describe("the order of changes", () => {
  it("puts a change behind every cursor that was given out before it was committed", async () => {
    const [slow, quick] = clients as [Client, Client];
    await slow.query("BEGIN");
    await rename(slow, accepted[0] as string, "slow");
    await rename(quick, accepted[1] as string, "quick");
    const mirror = new Mirror(app);
    await mirror.follow();
    expect(readOf(mirror).at(-1)).toMatchObject({ subjectId: accepted[1], event: "changed" });
    await slow.query("COMMIT");
    await mirror.follow();
    expect(readOf(mirror).at(-1)).toMatchObject({ subjectId: accepted[0], run: { fileName: "slow" } });
  });

  it("hides none from a reader who follows while many write at once", async () => {
    const mirror = new Mirror(app, null, 3);
    let writing = true;
    const reading = (async () => {
      while (writing) await mirror.follow();
      await mirror.follow();
    })();
    await Promise.all(
      clients.map(async (client, writer) => {
        for (let n = 0; n < EACH; n++) {
          await client.query("BEGIN");
          await rename(client, accepted[writer] as string, `log ${n}.csv`);
          await client.query("SELECT pg_sleep(random() * 0.01)");
          await client.query(n % 5 === 4 ? "ROLLBACK" : "COMMIT");
        }
      }),
    );
    writing = false;
    await reading;
    const stored = await app.database.publicChange.findMany({ orderBy: { position: "asc" } });
    expect(mirror.read.map(({ position }) => position)).toEqual(stored.map(({ position }) => Number(position)));
    expect(stored.length).toBeGreaterThanOrEqual((WRITERS * EACH * 4) / 5);
    expect(await app.database.pendingChange.count()).toBe(0);
  });

  it("tells one thing that a transaction changes several times once", async () => {
    const [client] = clients as [Client];
    const count = () => app.database.publicChange.count({ where: { kind: "run" } });
    const before = await count();
    await client.query("BEGIN");
    for (const fileName of ["one.csv", "two.csv", "three.csv"]) await rename(client, accepted[0] as string, fileName);
    await client.query("COMMIT");
    expect(await count()).toBe(before + 1);
  });
});
