/**
 * Fills a record with the hashes of many simulated runs (100,000), then seeks altered copies of some of them (12 of each
 * kind) and honest runs that are not in it (200; other numbers as arguments, in this order), and prints how many were found,
 * false alarms, times and sizes. It fails when a copy was missed, or when anything else was called one.
 */
import { CopiesRepository } from "../src/features/copies/copies.repository.js";
import { NoticeWriter } from "../src/features/notices/notice-writer.service.js";
import { Database } from "../src/platform/database/database.js";
import { startTemporaryServer } from "../src/platform/database/opening/temporary-database.js";
import { Notifications } from "../src/platform/notifications/notifications.js";
import { prepareDatabase } from "../src/prepare-database.js";
import { ALTERATIONS } from "../test/support/copies/alterations.js";
import { alteredCopy, fillRecord, honestRun } from "../test/support/copies/filled-record.js";
import { honestTrace } from "../test/support/copies/honest-traces.js";
import { type Search, searchRecord } from "../test/support/copies/search.js";

const [RUNS, COPIES_OF_EACH_KIND, HONEST_RUNS] = [100_000, 12, 200].map((usual, i) =>
  Number(process.argv[i + 2] ?? usual),
) as [number, number, number];

const share = (values: readonly number[], part: number): number =>
  values.toSorted((a, b) => a - b)[Math.min(values.length - 1, Math.floor(part * values.length))] as number;
const say = (what: string, value: string) => console.log(`${what.padEnd(52)} ${value}`);
const times = (values: readonly number[]) =>
  `median ${share(values, 0.5).toFixed(0)} ms, p95 ${share(values, 0.95).toFixed(0)} ms`;

const server = await startTemporaryServer();
const database = new Database(server.connectionString, 2);
try {
  await prepareDatabase(server.connectionString);
  const begun = performance.now();
  await fillRecord(database, RUNS, (done) => {
    if (done % 10_000 === 0) console.log(`${done} runs, ${((performance.now() - begun) / 1000).toFixed(0)} s`);
  });
  const copies = new CopiesRepository(database, new NoticeWriter(new Notifications(database)));
  const searches: Search[] = [];
  let [found, sought, wrong] = [0, 0, 0];
  for (const [kind, [name, alter]] of Object.entries(ALTERATIONS).entries()) {
    let ofKind = 0;
    for (let n = 0; n < COPIES_OF_EACH_KIND; n++) {
      const { index, copy } = alteredCopy(alter, kind * 7919 + n * 104_729, RUNS);
      const search = await searchRecord(copies, copy);
      searches.push(search);
      if (search.found.includes(index)) ofKind++;
      wrong += search.found.filter((one) => one !== index).length;
    }
    say(name, `${ofKind} of ${COPIES_OF_EACH_KIND} found`);
    found += ofKind;
    sought += COPIES_OF_EACH_KIND;
  }
  for (let n = 0; n < HONEST_RUNS; n++) {
    const { pack, specimen, run } = honestRun((n * 7927) % RUNS);
    const honest = n % 2 === 0 ? { pack, specimen, run: run + 100 } : { pack, specimen: specimen + 1000, run };
    const search = await searchRecord(copies, honestTrace(honest));
    searches.push(search);
    wrong += search.found.length;
  }
  const { rows } = await database.pool.query<{ hashes: string; rows: string; index: string }>(
    "SELECT count(*)::text AS hashes, pg_size_pretty(pg_table_size('copy_hash')) AS rows, pg_size_pretty(pg_indexes_size('copy_hash')) AS index FROM copy_hash",
  );
  say("altered copies found", `${found} of ${sought}, recall ${((100 * found) / sought).toFixed(1)} %`);
  say(
    "false alarms",
    `${wrong} in ${searches.length} searches, ${HONEST_RUNS} of them with other runs and other specimens of packs in the record`,
  );
  say("candidates named by the index", `at most ${Math.max(...searches.map(({ candidates }) => candidates))}`);
  say("lookup in the database", times(searches.map(({ lookupMs }) => lookupMs)));
  say("whole search with its comparisons", times(searches.map(({ searchMs }) => searchMs)));
  say("hashes, their table, its index", `${rows[0]?.hashes}, ${rows[0]?.rows}, ${rows[0]?.index}`);
  if (found < sought || wrong > 0) process.exitCode = 1;
} finally {
  await database.onApplicationShutdown();
  await server.stop();
}
