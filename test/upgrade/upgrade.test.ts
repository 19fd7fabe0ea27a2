import { createHash } from "node:crypto";
import { readdirSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { Client } from "pg";
import { readMigrations } from "../../prisma/migration-files.js";
import { COMPUTATION_VERSION } from "../../src/core/model.js";
import { startApp } from "../../src/create-app.js";
import { discrepancies } from "../../src/features/audit/audit-state.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { restoreBackup } from "../../src/platform/backup/restore.js";
import { readConfig } from "../../src/platform/config/config.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { Database } from "../../src/platform/database/database.js";
import { prepareDatabase } from "../../src/prepare-database.js";
import { closeApp } from "../../src/start-service.js";
import { PATIENT } from "../support/app.js";
import { createEmptyDatabase, type TestDatabase } from "../support/database.js";
import { untilIdle } from "../support/idle.js";
import { goneFrom, type Rows, rowsOf } from "./rows.js";

/** Backups that earlier versions' records were written to, by `npm run upgrade:record`. */
const FOLDER = join(projectRoot, "test", "upgrade", "records");

/** What a later version computes anew, with why. */
const COMPUTED_ANEW: readonly (readonly [what: RegExp, why: string])[] = [
  [
    /^run\.current_evaluation_id: /,
    "another version of the computation evaluates every run; the older evaluation stays",
  ],
  [/^active_version\.(since|computation_version): /, "that version is active then"],
  [/^standing\./, "standings follow; they are compared below"],
  [/^ranking_revision\.(revision|changed_at): /, "readers' copies of rankings are read anew"],
  [
    /^tester_result\.(value|(stated|own|kinetics|resistance|form)_uncertainty|degrees_of_freedom): /,
    "testers' results follow; they are compared below",
  ],
  [/^tester_record\.judged_at: /, "records are judged again when standings have changed"],
  [
    /^(pack_model\.(revision|fitted_at)|validated_pack\.model_version): /,
    "models are fitted anew to what is evaluated anew",
  ],
  [/^pack\.match_key(_version)?: /, "names that look alike are found by another key"],
  [/^pack_revision\.revision: /, "readers' copies of packs are read anew"],
  [/^copy_(fingerprint\.(method|checked_at)|hash\.entry): /, "another method compares runs for copies"],
];

/** Records of versions that made standings of testers' results in another way (docs/records.md): the values stay within their U. */
const OTHER_STANDINGS = new Set(["computation-3.zip", "1.0.0.zip"]);

/** What makes a tester's result, but for what runs say that were withdrawn before a moderator decided on them: 1.0.0 let these count as any other. */
const NAME_OF_RESULT = ["pack_id", "protocol_key", "figure", "basis", "load", "tester_id"];
const PARTS_OF_RESULT = ["value", "own_uncertainty", "stated_uncertainty", "runs", "withdrawn_runs"];

interface Standing {
  readonly pack_id: string;
  readonly figure: string;
  readonly load: number;
  readonly value: number;
  readonly uncertainty: number;
}

interface Changes {
  readonly madeBy: { readonly computationDiffers: boolean };
  readonly figures: readonly { readonly key: string }[];
}

describe.each(readdirSync(FOLDER))("the record of %s, moved to this version", (file) => {
  let folder: string;
  let target: TestDatabase;
  let client: Client;
  let app: NestFastifyApplication;
  let before: Rows;
  let after: Rows;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "packledger-upgrade-"));
    target = await createEmptyDatabase();
    const { migrations } = await restoreBackup(target.connectionString, join(FOLDER, file), join(folder, "key.pem"));
    const known = await readMigrations();
    expect(migrations.map(({ name }) => name)).toEqual(known.slice(0, migrations.length).map(({ name }) => name));
    client = new Client({ connectionString: target.connectionString });
    await client.connect();
    before = await rowsOf(client);
    await prepareDatabase(target.connectionString);
    const usual = readConfig({ LOG_LEVEL: "silent", DATABASE_CONNECTIONS: "5", DATA_DIR: folder });
    app = await startApp({ ...usual, ...PATIENT }, target.connectionString);
    await untilIdle(target.connectionString);
    after = await rowsOf(client);
  });
  afterAll(async () => {
    await closeApp(app);
    await client.end();
    await target.drop();
    await rm(folder, { recursive: true });
  });

  const ask = async (url: string) => {
    const answer = await app.inject({ method: "GET", url });
    expect([url, answer.statusCode]).toEqual([url, 200]);
    return answer;
  };
  const rowsIn = (rows: Rows, table: string) => rows.get(table) ?? [];

  it("has lost nothing but what is computed anew", () => {
    const gone = goneFrom(before, after);
    expect(gone.filter((one) => !COMPUTED_ANEW.some(([what]) => what.test(one)))).toEqual([]);
  });

  it.each(["run", "log", "account", "evaluation"])(
    "would have lost something with one %s less, or another one",
    (table) => {
      const [first = {}, ...others] = rowsIn(after, table);
      const gone = (rows: readonly Readonly<Record<string, unknown>>[]) =>
        goneFrom(before, new Map([...after, [table, rows]])).filter((one) => one.startsWith(table));
      const kept = rowsIn(before, table).length === rowsIn(after, table).length;
      expect(gone([{ ...first, id: "another", sha256: "another", bytes: -1 }, ...others])).not.toEqual(
        gone([first, ...others]),
      );
      if (kept) expect(gone(others)).toContain(`${table}: 1 rows`);
    },
  );

  it("has an unbroken audit log that goes on from the old one, and says what the record is", async () => {
    const last = rowsIn(before, "audit_log").reduce((a, b) => (Number(a.position) > Number(b.position) ? a : b));
    const database = new Database(target.connectionString, 2);
    const noted = String(last.hash).replace(/^\\x/, "");
    expect(await verifyChain(database, noted)).toMatchObject({ broken: null, containsHash: true });
    const found: unknown[] = [];
    for await (const one of discrepancies(database)) found.push(one);
    await database.onApplicationShutdown();
    expect(found).toEqual([]);
  });

  it("gives every public log byte by byte", async () => {
    const accepted = rowsIn(before, "run").filter((run) => run.review_state === "accepted");
    expect(accepted.length).toBeGreaterThan(0);
    for (const run of accepted) {
      const { rawPayload } = await ask(`/v1/runs/${run.id}/log`);
      expect(`\\x${createHash("sha256").update(rawPayload).digest("hex")}`).toBe(run.log_sha256);
    }
  });

  it("has every run evaluated by this version, and keeps what the older one found", async () => {
    const current = new Map(rowsIn(after, "evaluation").map((one) => [one.id, one]));
    for (const run of rowsIn(after, "run").filter(({ review_state }) => review_state !== "withdrawn"))
      expect(current.get(run.current_evaluation_id)).toMatchObject({ computation_version: COMPUTATION_VERSION });
  });

  it("has the rankings that it had, but for what an evaluation's changes explain", async () => {
    const name = ({ pack_id, figure, load }: Standing) => `${pack_id} ${figure} ${load}`;
    const standingsOf = (rows: Rows) =>
      new Map((rowsIn(rows, "standing") as unknown as Standing[]).map((one) => [name(one), one]));
    const [old, now] = [standingsOf(before), standingsOf(after)];
    expect(old.size).toBeGreaterThan(0);
    const explained = await changedFigures();
    const unexplained = [...new Set([...old.keys(), ...now.keys()])].filter((key) => {
      const [was, is] = [old.get(key), now.get(key)];
      const { pack_id, figure } = (is ?? was) as Standing;
      if (was?.value === is?.value || explained.has(`${pack_id} ${figure}`)) return false;
      return !(OTHER_STANDINGS.has(file) && was && is && Math.abs(is.value - was.value) <= 2 * was.uncertainty);
    });
    expect(unexplained).toEqual([]);
  });

  it("has the results of testers that it had, but for what evaluations explain and where undecided runs are bounded now", async () => {
    type Row = Readonly<Record<string, unknown>>;
    const partsOf = (row: Row, columns: readonly string[]) => JSON.stringify(columns.map((column) => row[column]));
    const now = new Map(rowsIn(after, "tester_result").map((row) => [partsOf(row, NAME_OF_RESULT), row]));
    const explained = await changedFigures();
    const isSame = (row: Row) => {
      const is = now.get(partsOf(row, NAME_OF_RESULT));
      return is !== undefined && partsOf(is, PARTS_OF_RESULT) === partsOf(row, PARTS_OF_RESULT);
    };
    const changed = rowsIn(before, "tester_result").filter(
      (row) => !explained.has(`${row.pack_id} ${row.figure}`) && !isSame(row),
    );
    expect(changed.filter((row) => row.withdrawn_runs === 0)).toEqual([]);
    // They are made anew once, whatever the version before made of them.
    const undecided = rowsIn(before, "tester_result").some((row) => Number(row.withdrawn_runs) > 0);
    expect(changed.length > 0).toBe(undecided);
  });

  /** Figures of which two evaluations give the same value with another uncertainty: computation 8 takes that of the cutoff from a longer fall. */
  function moreOrLessUncertain(from: unknown, to: unknown): string[] {
    const uncertaintyOf = (id: unknown) =>
      new Map(
        rowsIn(after, "figure")
          .filter(({ evaluation_id }) => evaluation_id === id)
          .map(({ key, load, uncertainty }) => [`${key} ${load}`, uncertainty]),
      );
    const [old, now] = [uncertaintyOf(from), uncertaintyOf(to)];
    const differing = [...old].filter(([name, uncertainty]) => now.has(name) && now.get(name) !== uncertainty);
    return differing.map(([name]) => name.split(" ")[0] as string);
  }

  /** Packs and figures of which an accepted run's evaluation differs since the computation does, as the service says. */
  async function changedFigures(): Promise<Set<string>> {
    const found = new Set<string>();
    for (const run of rowsIn(after, "run").filter(({ review_state }) => review_state === "accepted")) {
      const { items } = (await ask(`/v1/runs/${run.id}/evaluations`)).json<{ items: { id: string }[] }>();
      const [newest, oldest] = [items[0]?.id, items.at(-1)?.id];
      const compared = await ask(`/v1/runs/${run.id}/evaluations/compare?from=${oldest}&to=${newest}`);
      const { madeBy, figures } = compared.json<Changes>();
      if (!madeBy.computationDiffers) continue;
      for (const { key } of figures) found.add(`${run.pack_id} ${key}`);
      for (const key of moreOrLessUncertain(oldest, newest)) found.add(`${run.pack_id} ${key}`);
    }
    return found;
  }
});
