import { createHash, randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { cloneDatabase, type TestDatabase } from "../support/database.js";

let database: TestDatabase;
let client: Client;
const tester = randomUUID();
const moderator = randomUUID();
const pack = randomUUID();
const specimen = randomUUID();
const bench = randomUUID();
const run = randomUUID();
const evaluation = randomUUID();
const foreignBench = randomUUID();
const secondRun = randomUUID();
const nonconforming = randomUUID();
const sha256 = createHash("sha256").update("t,V,I\n").digest();

/** What the record holds before each of the tests tries to break it. */
async function fill(): Promise<void> {
  const rows: [string, unknown[]][] = [
    [
      "INSERT INTO account (id, handle, password_hash) VALUES ($1, 'tester', '-'), ($2, 'moderator', '-')",
      [tester, moderator],
    ],
    [
      "INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id) VALUES ($1, 'Halden Cells', 'A', 'lipo', 4, 1, 4000, $2)",
      [pack, tester],
    ],
    [
      "INSERT INTO specimen (id, pack_id, owner_id, label, cycles) VALUES ($1, $2, $3, 'a', 0)",
      [specimen, pack, tester],
    ],
    [
      "INSERT INTO bench (id, owner_id, label, load_kind, voltage_percent, voltage_offset, current_percent, current_offset, sense_point) VALUES ($1, $2, 'b', 'throttle', 1, 0, 1, 0, 'pack')",
      [bench, tester],
    ],
    ["INSERT INTO protocol (key, version, document) VALUES ('trial', 1, '{}')", []],
    ["INSERT INTO log (sha256, bytes, media_type) VALUES ($1, 6, 'text/csv')", [sha256]],
    ["INSERT INTO log_chunk (sha256, position, bytes) VALUES ($1, 0, $2)", [sha256, Buffer.from("t,V,I\n")]],
    [
      "INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name) VALUES ($1, $2, $3, $4, 'trial', 1, $5, 'a.csv')",
      [run, specimen, bench, tester, sha256],
    ],
    [
      "INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples, rate_hz, duration_s, stop) VALUES ($1, $2, 'trial', 1, 1, $3, 'conforming', 1, '[]', 1, 10, 60, 'cutoff')",
      [evaluation, run, sha256],
    ],
    ["INSERT INTO bench SELECT $1, $2, 'c', load_kind, 1, 0, 1, 0, null, 'pack' FROM bench", [foreignBench, moderator]],
    [
      "INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name, withdrawal, review_state) SELECT $1, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, 'b.csv', 1, 'withdrawn' FROM run",
      [secondRun],
    ],
    [
      "INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples, rate_hz, duration_s, stop) SELECT $1, $2, 'trial', 1, 1, log_sha256, 'nonconforming', 1, '[]', 1, 10, 60, 'cutoff' FROM evaluation",
      [nonconforming, secondRun],
    ],
  ];
  for (const [statement, values] of rows) await client.query(statement, values);
}

beforeAll(async () => {
  database = await cloneDatabase();
  client = new Client({ connectionString: database.connectionString });
  await client.connect();
  await fill();
});
afterAll(async () => {
  await client.end();
  await database.drop();
});

const auditEntry = (position: number) =>
  `INSERT INTO audit_log (position, at, event, subject_kind, subject_id, previous_hash, hash) VALUES (${position}, now(), 'upload', 'run', 'a', decode(repeat('00', 32), 'hex'), sha256('a'))`;

const figure = (value: string, uncertainty: string, basis = "measured", load = "0") =>
  `INSERT INTO figure (evaluation_id, key, basis, load, value, unit, uncertainty, bound, budget) VALUES ('${evaluation}', 'energy', '${basis}', '${load}', '${value}', 'Wh', '${uncertainty}', 'none', '[]')`;

describe("the database refuses, whoever asks,", () => {
  it.each([
    ["to change a log", "UPDATE log SET bytes = 0", "never changed or removed"],
    ["to remove a log", "DELETE FROM log", "never changed or removed"],
    ["to change the bytes of a log", "UPDATE log_chunk SET bytes = '\\x00'", "never changed or removed"],
    ["to remove the bytes of a log", "TRUNCATE log_chunk", "never changed or removed"],
    [
      "to address a log by other than SHA-256",
      "INSERT INTO log (sha256, bytes, media_type) VALUES ('\\x00', 0, '')",
      "log_sha256_check",
    ],
    [
      "a chunk larger than a mebibyte",
      `INSERT INTO log_chunk VALUES ('\\x${sha256.toString("hex")}', 1, decode(repeat('00', 1048577), 'hex'))`,
      "log_chunk_bytes_check",
    ],
    [
      "a packed chunk larger than a mebibyte",
      `INSERT INTO log_chunk VALUES ('\\x${sha256.toString("hex")}', 1, null, decode(repeat('00', 1048577), 'hex'))`,
      "log_chunk_packed_check",
    ],
    [
      "a chunk without bytes",
      `INSERT INTO log_chunk VALUES ('\\x${sha256.toString("hex")}', 1)`,
      "log_chunk_one_form_check",
    ],
    [
      "a chunk as it is and packed",
      `INSERT INTO log_chunk VALUES ('\\x${sha256.toString("hex")}', 1, '\\x00', '\\x00')`,
      "log_chunk_one_form_check",
    ],
    [
      "to remove a specimen that has runs",
      `DELETE FROM specimen WHERE id = '${specimen}'`,
      "run_specimen_id_tester_id_fkey",
    ],
    [
      "a run of another tester's specimen",
      `INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name) SELECT gen_random_uuid(), specimen_id, '${foreignBench}', '${moderator}', protocol_key, protocol_version, log_sha256, 'b.csv' FROM run WHERE withdrawal = 0`,
      "run_specimen_id_tester_id_fkey",
    ],
    ["a run on another tester's bench", `UPDATE run SET bench_id = '${foreignBench}'`, "run_bench_id_tester_id_fkey"],
    [
      "another run's evaluation as the current one of a run",
      `UPDATE run SET current_evaluation_id = '${evaluation}' WHERE id = '${secondRun}'`,
      "run_current_evaluation_id_id_fkey",
    ],
    [
      "to accept a run that does not conform",
      `UPDATE run SET review_state = 'accepted', withdrawal = 0, current_evaluation_id = '${nonconforming}' WHERE id = '${secondRun}'`,
      "only a run that conforms is accepted",
    ],
    [
      "to accept a run without a result",
      "UPDATE run SET review_state = 'accepted'",
      "only a run that conforms is accepted",
    ],
    ["to remove an evaluation", "DELETE FROM evaluation", "never changed or removed"],
    ["to change a figure", "UPDATE figure SET value = 0", "never changed or removed"],
    ["an entry of the audit log that does not follow the last one", auditEntry(2), "follows the last one of the chain"],
    ["a figure that is not a number", figure("NaN", "1"), "figure_value_check"],
    ["a figure without end", figure("Infinity", "1"), "figure_value_check"],
    ["a negative uncertainty", figure("1", "-1"), "figure_uncertainty_check"],
    ["an uncertainty that is not a number", figure("1", "NaN"), "figure_uncertainty_check"],
    ["a measured figure at a standard load", figure("1", "1", "measured", "80"), "figure_load_basis_check"],
    ["a translated figure without its load", figure("1", "1", "translated"), "figure_load_basis_check"],
    ["a negative load", figure("1", "1", "measured", "-1"), "figure_load_check"],
    ["a load without end", figure("1", "1", "translated", "Infinity"), "figure_load_check"],
    [
      "leads of unknown resistance",
      "UPDATE bench SET sense_point = 'lead', sense_gauge_awg = 12",
      "bench_lead_resistance_known_check",
    ],
    ["a run that failed without saying why", "UPDATE run SET state = 'failed'", "run_error_check"],
    ["a run that is processed without a result", "UPDATE run SET state = 'processed'", "run_processed_check"],
    [
      "the same upload twice",
      `INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name) SELECT '${randomUUID()}', specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, 'b.csv' FROM run`,
      "run_same_upload_key",
    ],
    [
      "a tester's decision on a run of their own",
      `INSERT INTO review (id, run_id, moderator_id, decision) VALUES ('${randomUUID()}', '${run}', '${tester}', 'accept')`,
      "never reviewed by its own tester",
    ],
    [
      "a decision of nobody",
      `INSERT INTO review (id, run_id, decision) VALUES ('${randomUUID()}', '${run}', 'accept')`,
      "review_one_decides_check",
    ],
    [
      "an acceptance rule that asks for no other testers",
      `INSERT INTO auto_accept_policy (version, actor_id, enabled, moderator_acceptances, no_rejection_days, account_days, other_testers, max_deviation_percent, max_per_day, sample_one_in, set_by_id) VALUES (1, gen_random_uuid(), true, 1, 1, 0, 0, 5, 1, 2, '${tester}')`,
      "auto_accept_policy_other_testers_check",
    ],
    ["a run replaced by itself", `UPDATE run SET replaced_by_id = id`, "run_replaced_check"],
    [
      "one identity for two accounts",
      `INSERT INTO identity (id, account_id, issuer, subject) SELECT gen_random_uuid(), id, 'https://provider.example', 's' FROM account`,
      "identity_issuer_subject_key",
    ],
    [
      "the same pack in other letters",
      `INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id) VALUES ('${randomUUID()}', 'HALDEN cells', 'a', 'liion', 4, 1, 4000, '${tester}')`,
      "pack_same_product_key",
    ],
    [
      "a second column map for a header row",
      `INSERT INTO column_map (id, owner_id, label, header, header_sha256, columns) SELECT gen_random_uuid(), '${tester}', 'm', '{a}', sha256('a'), '{"time": "a"}' FROM generate_series(1, 2)`,
      "column_map_same_header_key",
    ],
    [
      "a column map that names nothing",
      `INSERT INTO column_map (id, owner_id, label, header, header_sha256, columns) VALUES (gen_random_uuid(), '${tester}', 'm', '{a}', sha256('a'), '{}')`,
      "column_map_columns_check",
    ],
    ["a label of a column map without the map", "UPDATE run SET columns_label = 'm'", "run_columns_label_check"],
    [
      "half an answer to a keyed request",
      "INSERT INTO idempotency_key (id, fingerprint, claim, claimed_until, status, expires_at) VALUES (sha256('a'), sha256('b'), gen_random_uuid(), now(), 201, now())",
      "idempotency_key_answer_check",
    ],
    [
      "to keep what a fault of the service was answered with",
      "INSERT INTO idempotency_key (id, fingerprint, claim, claimed_until, status, headers, body, expires_at) VALUES (sha256('a'), sha256('b'), gen_random_uuid(), now(), 503, '{}', '', now())",
      "idempotency_key_status_check",
    ],
    [
      "the same handle in other letters",
      `INSERT INTO account (id, handle, password_hash) VALUES ('${randomUUID()}', 'TESTER', '-')`,
      "account_handle_key",
    ],
  ])("%s", async (_, statement, reason) => {
    await expect(client.query(statement)).rejects.toThrow(reason);
  });
});

it("takes the decision of another", async () => {
  const statement = "INSERT INTO review (id, run_id, moderator_id, decision) VALUES ($1, $2, $3, 'accept')";
  await expect(client.query(statement, [randomUUID(), run, moderator])).resolves.toMatchObject({ rowCount: 1 });
});

it("counts the same discharge of the same bytes once, whoever uploads them", async () => {
  const [again, twin] = [randomUUID(), randomUUID()];
  await client.query("INSERT INTO specimen VALUES ($1, $2, $3, 'b', 0)", [again, pack, moderator]);
  await client.query(
    "INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name) VALUES ($1, $2, $3, $4, 'trial', 1, $5, 'a.csv')",
    [twin, again, foreignBench, moderator, sha256],
  );
  const twinEvaluation = randomUUID();
  await client.query(
    "INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples, rate_hz, duration_s, stop) VALUES ($1, $2, 'trial', 1, 1, $3, 'conforming', 1, '[]', 1, 10, 60, 'cutoff')",
    [twinEvaluation, twin, sha256],
  );
  const accept = (id: string, current: string) =>
    client.query("UPDATE run SET review_state = 'accepted', current_evaluation_id = $2 WHERE id = $1", [id, current]);
  await accept(run, evaluation);
  await expect(accept(twin, twinEvaluation)).rejects.toThrow("run_log_counts_once");
  await client.query("UPDATE run SET review_state = 'rejected' WHERE id = $1", [run]);
  await expect(accept(twin, twinEvaluation)).resolves.toMatchObject({ rowCount: 1 });

  await client.query("UPDATE run SET review_state = 'pending' WHERE id = $1", [twin]);
  for (const [discharge, ofTwin, counts] of [
    [1, 2, true],
    [2, 2, false],
    [0, 2, false],
    [2, 0, false],
  ] as const) {
    await client.query("UPDATE run SET review_state = 'pending', discharge = $2 WHERE id = $1", [run, discharge]);
    await client.query("UPDATE run SET review_state = 'pending', discharge = $2 WHERE id = $1", [twin, ofTwin]);
    await accept(run, evaluation);
    const accepted = await accept(twin, twinEvaluation).then(
      () => true,
      (error: Error) => error.message,
    );
    if (counts) expect(accepted).toBe(true);
    else expect(accepted).toMatch(/run_log_counts_once|counts already/);
  }
});
