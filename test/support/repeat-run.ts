import type { Database } from "../../src/platform/database/database.js";

/** More runs as that one, each with a log and an evaluation of its own, as if they had been uploaded and evaluated. */
export async function repeatRun(database: Database, id: string, times: number): Promise<void> {
  const client = await database.pool.connect();
  try {
    await client.query("BEGIN");
    await client.query(
      `CREATE TEMPORARY TABLE repeated ON COMMIT DROP AS
       SELECT gen_random_uuid() AS run_id, gen_random_uuid() AS evaluation_id, sha256(convert_to(n::text, 'UTF8')) AS sha256
       FROM generate_series(1, $1::int) AS n`,
      [times],
    );
    const repeat = (table: string, changes: string, of: string) =>
      client.query(
        `INSERT INTO ${table} SELECT made.* FROM ${table} CROSS JOIN repeated
         CROSS JOIN LATERAL jsonb_populate_record(${table}, jsonb_build_object(${changes})) AS made WHERE ${of}`,
        [id],
      );
    const ofRun = "(SELECT current_evaluation_id FROM run WHERE id = $1::uuid)";
    await repeat("log", "'sha256', repeated.sha256", "log.sha256 = (SELECT log_sha256 FROM run WHERE id = $1::uuid)");
    await repeat(
      "run",
      "'id', run_id, 'log_sha256', sha256, 'state', 'queued', 'current_evaluation_id', null",
      "run.id = $1::uuid",
    );
    await repeat(
      "evaluation",
      "'id', evaluation_id, 'run_id', repeated.run_id, 'log_sha256', sha256",
      `evaluation.id = ${ofRun}`,
    );
    for (const table of ["figure", "figure_budget", "finding", "other_findings", "adjustment"]) {
      await repeat(table, "'evaluation_id', repeated.evaluation_id", `${table}.evaluation_id = ${ofRun}`);
    }
    await client.query(
      "UPDATE run SET state = 'processed', current_evaluation_id = evaluation_id FROM repeated WHERE run.id = repeated.run_id",
    );
    await client.query("COMMIT");
  } finally {
    client.release();
  }
}
