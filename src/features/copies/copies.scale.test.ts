import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { ALTERATIONS } from "../../../test/support/copies/alterations.js";
import { alteredCopy, fillRecord, honestRun } from "../../../test/support/copies/filled-record.js";
import { honestTrace } from "../../../test/support/copies/honest-traces.js";
import { searchRecord } from "../../../test/support/copies/search.js";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database } from "../../platform/database/database.js";
import { CopiesRepository } from "./copies.repository.js";

/** `npm run bench:copies` does the same with 100,000. */
const RUNS = 2000;
const PATIENCE_MS = 180_000;

let record: TestDatabase;
let database: Database;
let copies: CopiesRepository;
beforeAll(async () => {
  record = await cloneDatabase();
  database = new Database(record.connectionString, 2);
  await fillRecord(database, RUNS);
  copies = new CopiesRepository(database);
}, PATIENCE_MS);
afterAll(async () => {
  await database.onApplicationShutdown();
  await record.drop();
});

it.each(Object.entries(ALTERATIONS))(
  "among 2,000 runs a copy finds its original and no other: %s",
  async (name, alter) => {
    for (const start of [97, 1234]) {
      const { index, copy } = alteredCopy(alter, start * name.length, RUNS);
      expect((await searchRecord(copies, copy)).found).toEqual([index]);
    }
  },
);

it(
  "another run of a specimen, or another specimen of a pack, is a copy of none of 2,000",
  async () => {
    for (let n = 0; n < 20; n++) {
      const { pack, specimen, run } = honestRun(n * 97);
      const honest = n % 2 === 0 ? { pack, specimen, run: run + 100 } : { pack, specimen: specimen + 1000, run };
      expect((await searchRecord(copies, honestTrace(honest))).found).toEqual([]);
    }
  },
  PATIENCE_MS,
);
