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

  it("tells of many things that a transaction changes at once what it tells of few", async () => {
    const { database } = app;
    const MANY = 150;
    const added = (await database.$queryRaw<{ id: string }[]>`
      WITH logs AS (INSERT INTO log (sha256, bytes, media_type)
        SELECT sha256(convert_to('many ' || n, 'UTF8')), 1, 'text/csv' FROM generate_series(1, ${MANY}::int) AS n RETURNING sha256)
      INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name, state)
      SELECT gen_random_uuid(), specimen_id, bench_id, tester_id, protocol_key, protocol_version, logs.sha256, 'many.csv', 'queued'
      FROM logs JOIN run ON run.id = ${accepted[0]}::uuid RETURNING run.id::text`) as { id: string }[];
    const ids = added.map(({ id }) => id).sort();
    await database.$executeRaw`
      INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples,
        rate_hz, duration_s, stop)
      SELECT run.id, run.id, run.protocol_key, run.protocol_version, 1, run.log_sha256, 'conforming', 1, '[]', 1, 1, 1, 'cutoff'
      FROM run WHERE id = ANY(${ids}::uuid[])`;
    await database.$executeRaw`UPDATE run SET state = 'processed', current_evaluation_id = id WHERE id = ANY(${ids}::uuid[])`;
    const told = async (after: bigint) => {
      const rows = await database.publicChange.findMany({
        where: { position: { gt: after } },
        orderBy: { position: "asc" },
      });
      return rows.map(({ kind, subjectId, event }) => `${kind} ${subjectId} ${event}`);
    };
    const end = async () => (await database.publicChange.aggregate({ _max: { position: true } }))._max.position ?? 0n;
    const { testerId } = await database.run.findUniqueOrThrow({ where: { id: ids[0] ?? "" } });
    const statement = (some: string[]) =>
      database.$executeRaw`UPDATE run SET review_state = 'accepted' WHERE id = ANY(${some}::uuid[])`;
    const before = await end();
    await statement(ids.slice(0, 2));
    const few = await told(before);
    expect(few.sort()).toEqual(
      [...ids.slice(0, 2).map((id) => `run ${id} accepted`), `tester ${testerId} changed`].sort(),
    );
    const between = await end();
    await statement(ids.slice(2));
    expect(await told(between)).toEqual([
      ...ids.slice(2).map((id) => `run ${id} accepted`),
      `tester ${testerId} changed`,
    ]);
    // What is no change for readers is none.
    const last = await end();
    await database.$executeRaw`UPDATE run SET evaluation_turn = 1 WHERE id = ANY(${ids}::uuid[])`;
    expect([await told(last), await database.pendingChange.count()]).toEqual([[], 0]);
  });

  it("tells of many standings those that are others by it", async () => {
    const { database } = app;
    await database.$executeRaw`
      INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id)
      SELECT gen_random_uuid(), 'Many', 'Pack ' || n, chemistry, series, parallel, rated_capacity_mah, created_by_id
      FROM pack, generate_series(1, 150) AS n WHERE pack.name = 'Sprint'`;
    const packs = (await database.pack.findMany({ where: { maker: "Many" }, select: { id: true } })).map(
      ({ id }) => id,
    );
    const told = async () => {
      const rows = await database.publicChange.findMany({ where: { kind: "standings", subjectId: { in: packs } } });
      return rows
        .map(({ subjectId, digest }) => `${subjectId} ${digest && Buffer.from(digest).toString("hex")}`)
        .sort();
    };
    const digests = async () => {
      const rows = await database.$queryRaw<{ digest: string }[]>`
        SELECT id || ' ' || encode(standings_digest(id), 'hex') AS digest FROM pack WHERE maker = 'Many'`;
      return rows.map(({ digest }) => digest).sort();
    };
    await database.$executeRaw`
      INSERT INTO standing (protocol_key, protocol_version, computation_version, figure, load, pack_id, chemistry, series, rated_capacity_mah,
        value, unit, uncertainty, testers, runs, established, basis, sort_value)
      SELECT 'full-load', 1, 1, 'capacity', 0, id, chemistry, series, rated_capacity_mah, 5000, 'mAh', 10, 1, 1, false, 'own', 5000
      FROM pack WHERE maker = 'Many'`;
    expect(await told()).toEqual(await digests());
    // Taken away and put back as they were, but for one.
    await database.$transaction(async (tx) => {
      await tx.$executeRaw`CREATE TEMPORARY TABLE kept ON COMMIT DROP AS SELECT * FROM standing WHERE pack_id = ANY(${packs}::uuid[])`;
      await tx.$executeRaw`DELETE FROM standing WHERE pack_id = ANY(${packs}::uuid[])`;
      await tx.$executeRaw`UPDATE kept SET value = 5001 WHERE pack_id = ${packs[0]}::uuid`;
      await tx.$executeRaw`INSERT INTO standing SELECT * FROM kept`;
    });
    expect(await told()).toHaveLength(packs.length + 1);
    expect(await database.pendingChange.count()).toBe(0);
  });
});
