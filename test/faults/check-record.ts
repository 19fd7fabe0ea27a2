import { Client } from "pg";
import { inspectRecord } from "../durability/record.js";
import type { Acknowledged } from "../durability/uploaders.js";
import { newestProtocol } from "../support/protocols.js";

/** Rounding of sums in another order. */
const SAME = 1e-9;

/** What is wrong with a record after a trial: each list names what, and should be empty. */
export interface RecordFaults {
  /** Acknowledged, but not in the record, or with other bytes than were sent. */
  readonly lost: readonly string[];
  /** Stored, but never evaluated, or still in the queue. */
  readonly unfinished: readonly string[];
  /** Evaluated twice under one version of protocol and computation. */
  readonly evaluatedTwice: readonly string[];
  readonly wrongStandings: readonly string[];
  readonly standings: number;
}

interface Compared {
  readonly name: string;
  readonly stored: number | null;
  readonly storedRuns: number | null;
  readonly storedTesters: number | null;
  readonly value: number | null;
  readonly runs: number | null;
  readonly testers: number | null;
}

/**
 * Holds a record against what was acknowledged, once its queue is done.
 *
 * @param givenUp ids of runs that are not to be evaluated
 */
export async function checkRecord(
  connectionString: string,
  acknowledged: readonly Acknowledged[],
  givenUp: readonly string[] = [],
): Promise<RecordFaults> {
  const { lost, changed, unfinished, jobsLeft } = await inspectRecord(connectionString, acknowledged, givenUp.length);
  const left = jobsLeft > givenUp.length ? [`${jobsLeft - givenUp.length} jobs`] : [];
  const client = new Client({ connectionString });
  await client.connect();
  try {
    return {
      lost: [...lost, ...changed],
      unfinished: [...unfinished.filter((run) => !givenUp.some((id) => run.startsWith(id))), ...left],
      evaluatedTwice: await evaluatedTwice(client),
      ...(await checkStandings(client)),
    };
  } finally {
    await client.end();
  }
}

async function evaluatedTwice(client: Client): Promise<string[]> {
  const { rows } = await client.query<{ id: string }>(`
    SELECT run_id::text AS id FROM evaluation
    GROUP BY run_id, protocol_key, protocol_version, computation_version HAVING count(*) > 1`);
  return rows.map(({ id }) => id);
}

/**
 * Computes the standings of the full load anew, where a pack has one tester: the mean of the accepted runs' figures, and how many runs
 * these are. Nothing of the service's own code is asked but which figures are ranked.
 */
export async function checkStandings(
  client: Pick<Client, "query">,
): Promise<Pick<RecordFaults, "wrongStandings" | "standings">> {
  const { ranked } = newestProtocol("full-load");
  const { rows } = await client.query<Compared>(
    `WITH counted AS (
       SELECT specimen.pack_id, figure.key AS figure, CASE figure.basis WHEN 'translated' THEN 'translated' ELSE 'own' END AS basis,
         figure.load, figure.value, run.id AS run_id, run.tester_id
       FROM run JOIN specimen ON specimen.id = run.specimen_id JOIN figure ON figure.evaluation_id = run.current_evaluation_id
       WHERE run.protocol_key = 'full-load' AND run.review_state = 'accepted' AND figure.bound = 'none'
     ), own AS (
       SELECT pack_id, figure, basis, load, avg(value) AS value, count(DISTINCT run_id)::int AS runs, count(DISTINCT tester_id)::int AS testers
       FROM counted
       WHERE (figure, basis) IN (SELECT figure, basis FROM json_to_recordset($1) AS ranked (figure text, basis text))
       GROUP BY pack_id, figure, basis, load
     ), stored AS (
       SELECT * FROM standing WHERE protocol_key = 'full-load'
     )
     SELECT concat_ws(' ', coalesce(own.pack_id, stored.pack_id), coalesce(own.figure, stored.figure), coalesce(own.load, stored.load)) AS name,
       stored.value AS stored, stored.runs AS "storedRuns", stored.testers AS "storedTesters", own.value, own.runs, own.testers
     FROM own FULL JOIN stored ON stored.pack_id = own.pack_id AND stored.figure = own.figure AND stored.basis = own.basis
       AND stored.load = own.load`,
    [JSON.stringify(ranked.map(({ figure, basis }) => ({ figure, basis })))],
  );
  return { standings: rows.length, wrongStandings: rows.filter(isWrong).map(inWords) };
}

function isWrong({ stored, storedRuns, storedTesters, value, runs, testers }: Compared): boolean {
  if (stored === null || value === null || storedRuns !== runs || storedTesters !== testers) return true;
  return testers === 1 && Math.abs(stored - value) > SAME * Math.abs(value);
}

function inWords({ name, stored, storedRuns, value, runs }: Compared): string {
  return `${name}: ${stored} of ${storedRuns} runs, and not ${value} of ${runs}`;
}
