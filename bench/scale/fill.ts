import { Client } from "pg";
import { COPY_METHOD } from "../../src/core/copies/evidence.js";
import { COMPUTATION_VERSION } from "../../src/core/model.js";
import { newestProtocol } from "../../test/support/protocols.js";

export interface Size {
  readonly packs: number;
  readonly runs: number;
  /** Runs of the one pack that has most. */
  readonly runsOfOne: number;
  /** Of the runs, so many of the newest wait for a moderator; none when left out. */
  readonly waiting?: number;
}

const TESTERS = 200;
/** Loads of the ranking by power, A, each with the part of the packs that stands at it. */
const LOADS = [
  [80, 1],
  [40, 0.3],
  [63, 0.5],
  [100, 0.5],
  [160, 0.3],
] as const;

/** An id that begins with a kind and ends with a number. */
const idSql = (kind: number, number: string) =>
  `('${String(kind).padStart(8, "0")}-0000-7000-8000-' || lpad(to_hex(${number}), 12, '0'))::uuid`;

export const packId = (number: number) => `00000003-0000-7000-8000-${number.toString(16).padStart(12, "0")}`;

/**
 * Fills an empty record by statements over whole tables. Keys and triggers are left out meanwhile, since all of it holds by
 * construction; those of standings write the history.
 */
export async function fill(connectionString: string, { packs, runs, runsOfOne, waiting = 0 }: Size): Promise<void> {
  const client = new Client({ connectionString });
  await client.connect();
  const { version } = newestProtocol("full-load");
  const specimens = 2 * packs + 500;
  // The first pack has 500 specimens of its own, behind those of all others.
  const specimenOfRun = `CASE WHEN n <= ${runsOfOne} THEN 2 * ${packs} + 1 + (n % 500) ELSE 1 + (n % (2 * ${packs})) END`;
  const testerOf = (specimen: string) => `1 + (${specimen}) % ${TESTERS}`;
  const settings = [
    "SET session_replication_role = replica",
    "SET synchronous_commit = off",
    "SET maintenance_work_mem = '256MB'",
  ];
  const statements = [
    `INSERT INTO account (id, handle, password_hash) SELECT ${idSql(1, "n")}, 'tester' || n, '-' FROM generate_series(1, ${TESTERS}) n`,
    `INSERT INTO bench (id, owner_id, label, load_kind, voltage_percent, voltage_offset, current_percent, current_offset, sense_point)
     SELECT ${idSql(2, "n")}, ${idSql(1, "n")}, 'b', 'throttle', 0.1, 0.005, 0.5, 0.1, 'pack' FROM generate_series(1, ${TESTERS}) n`,
    `INSERT INTO specimen (id, pack_id, owner_id, label, cycles)
     SELECT ${idSql(4, "n")}, CASE WHEN n > 2 * ${packs} THEN ${idSql(3, "1")} ELSE ${idSql(3, `1 + n % ${packs}`)} END,
       ${idSql(1, testerOf("n"))}, 's' || n, n % 50 FROM generate_series(1, ${specimens}) n`,
    `INSERT INTO log (sha256, bytes, media_type) SELECT sha256(n::text::bytea), 100000, 'text/csv' FROM generate_series(1, ${runs}) n`,
    `INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name, started_at, state,
       review_state, current_evaluation_id, pack_id)
     SELECT ${idSql(5, "n")}, ${idSql(4, "s")}, ${idSql(2, testerOf("s"))}, ${idSql(1, testerOf("s"))}, 'full-load', ${version},
       sha256(n::text::bytea), 'a.csv', now() - n * interval '1 minute', 'processed',
       CASE WHEN n > ${runs - waiting} THEN 'pending' ELSE 'accepted' END, ${idSql(6, "n")},
       CASE WHEN s > 2 * ${packs} THEN ${idSql(3, "1")} ELSE ${idSql(3, `1 + s % ${packs}`)} END
     FROM (SELECT n, ${specimenOfRun} AS s FROM generate_series(1, ${runs}) n) numbered`,
    `INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples, rate_hz, duration_s, stop)
     SELECT ${idSql(6, "n")}, ${idSql(5, "n")}, 'full-load', ${version}, ${COMPUTATION_VERSION}, sha256(n::text::bytea), 'conforming', 2000,
       '[]', 2000, 20, 100, 'cutoff' FROM generate_series(1, ${runs}) n`,
    `INSERT INTO figure (evaluation_id, key, basis, load, value, unit, uncertainty, own_uncertainty, kinetics_uncertainty,
       resistance_uncertainty, form_uncertainty, bound, budget)
     SELECT ${idSql(6, "n")}, key, basis, load, 100 + n % 900 + load, unit, 3, own, own, own, own, 'none', '[]'
     FROM generate_series(1, ${runs}) n, (VALUES ('power-10s', 'translated', 80, 'W', 1.0), ('power-10s', 'measured', 0, 'W', NULL),
       ('capacity', 'measured', 0, 'mAh', NULL)) AS figures (key, basis, load, unit, own)`,
    `INSERT INTO review_score (run_id, review_state, tester_id, pack_id, protocol_key, chemistry, series)
     SELECT run.id, run.review_state, run.tester_id, pack.id, run.protocol_key, pack.chemistry, pack.series
     FROM run JOIN pack ON pack.id = run.pack_id WHERE run.review_state = 'pending'`,
    // Compared already, so that the service does not begin with a million comparisons.
    `INSERT INTO copy_fingerprint (run_id, method, checked_at) SELECT ${idSql(5, "n")}, '${COPY_METHOD}', now() FROM generate_series(1, ${runs}) n`,
    "SET session_replication_role = origin",
    ...LOADS.map(([load, part]) => standingsSql("power-10s", load, packs, part, version)),
    standingsSql("capacity", 0, packs, 1, version),
    "VACUUM (ANALYZE)",
  ];
  try {
    for (const statement of settings) await client.query(statement);
    await addPacks(client, 1, packs);
    for (const statement of statements) await client.query(statement);
  } finally {
    await client.end();
  }
}

/** More packs, with one standing each by another figure: nothing else of them is there. */
export async function fillSynthetic(connectionString: string, from: number, standings: number): Promise<void> {
  const client = new Client({ connectionString });
  await client.connect();
  const { version } = newestProtocol("full-load");
  try {
    await client.query("SET synchronous_commit = off");
    await client.query("SET session_replication_role = replica");
    await client.query("SET maintenance_work_mem = '256MB'");
    await addPacks(client, from + 1, standings);
    await client.query("SET session_replication_role = origin");
    await client.query(standingsSql("power-30s", 80, standings, 1, version));
    await client.query("VACUUM (ANALYZE) pack, standing, standing_history");
  } finally {
    await client.end();
  }
}

/** Adds packs, and makes the index of their names anew after it: it takes many times as long to follow each of them. */
async function addPacks(client: Client, from: number, to: number): Promise<void> {
  const { rows } = await client.query<{ name: string; definition: string }>(
    "SELECT indexname AS name, indexdef AS definition FROM pg_indexes WHERE tablename = 'pack' AND indexdef LIKE '%gin_trgm_ops%'",
  );
  for (const { name } of rows) await client.query(`DROP INDEX ${client.escapeIdentifier(name)}`);
  await client.query(packsSql(from, to));
  for (const { definition } of rows) await client.query(definition);
}

function packsSql(from: number, to: number): string {
  return `INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, mass_grams, connector, created_by_id, match_key)
    SELECT ${idSql(3, "n")}, 'Maker ' || (n::bigint * 7919) % 300, 'Pack ' || n || ' ' || substr(md5(n::text), 1, 6),
      (ARRAY['lipo', 'lipo', 'lipo', 'lihv', 'liion', 'lifepo4'])[1 + (n * 31) % 6], 2 + (n * 17) % 7, 1, 800 + (n * 37) % 9000,
      CASE WHEN n % 11 > 0 THEN 50 + (n * 13) % 1500 END, (ARRAY['EC5', 'XT90', 'AS150', NULL])[1 + n % 4], ${idSql(1, "1")},
      'maker ' || (n::bigint * 7919) % 300 || ' pack ' || n || ' ' || substr(md5(n::text), 1, 6)
    FROM generate_series(${from}, ${to}) n`;
}

/** Values over three decades, u of 0.2 to 0.9 %, of one pack in twenty 1 to 5 %; half of the standings are established. */
function standingsSql(figure: string, load: number, packs: number, part: number, version: number): string {
  const basis = load > 0 ? "translated" : "own";
  const random = (salt: number) => `(abs(hashint8extended(n, ${salt})) % 1000003) / 1000003.0`;
  return `INSERT INTO standing (protocol_key, protocol_version, computation_version, figure, load, pack_id, chemistry, series,
      rated_capacity_mah, value, unit, uncertainty, testers, runs, established, basis, own_load_value, sort_value)
    SELECT 'full-load', ${version}, ${COMPUTATION_VERSION}, '${figure}', ${load}, ${idSql(3, "n")}, chemistry, series, rated_capacity_mah,
      value, 'W', value * u, 3, 6, n % 2 = 0, '${basis}', value, value
    FROM (SELECT n, 10 ^ (1 + 3 * ${random(load + 1)}) AS value,
        CASE WHEN n % 20 = 7 THEN 0.01 + 0.04 * ${random(2)} ELSE 0.002 + 0.007 * ${random(3)} END AS u
      FROM generate_series(1, ${packs}) n WHERE ${random(load + 4)} < ${part}) AS drawn
    JOIN pack ON pack.id = ${idSql(3, "n")}`;
}
