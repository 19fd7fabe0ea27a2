import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { isDeepStrictEqual } from "node:util";
import { Client as Postgres } from "pg";
import type { Effects } from "../../src/features/reevaluations/effects.js";
import { nextFullLoad } from "../support/protocols.js";
import { Hold } from "./hold.js";
import { League } from "./league.js";
import { freePort, isReady, isUnanswered } from "./network.js";
import { DatabaseServer, Program } from "./processes.js";
import { built, trialEnvironment } from "./trial-programs.js";

const SETUP_TOKEN = "the first administrator of this trial registers with it";
const RANKING = "/v1/rankings/power-10s?standing=all&first=100";
/** The next version asks for more samples a second than every fourth bench logs. */
export const NEXT = nextFullLoad(15);

/** Places of a re-evaluation's end at which the service can be killed, by what holds it up there. */
const HOLDS = {
  "preparing standings": `INSERT INTO prepared_pack (reevaluation_id, pack_id, standings, results, confirmed, scatter)
    SELECT reevaluation.id, pack.id, '[]', '[]', '[]', '[]' FROM reevaluation, pack WHERE reevaluation.state = 'evaluating'`,
  // Evaluations are the current ones by then, and the version is the active one.
  "replacing testers' results": "LOCK TABLE tester_result IN SHARE ROW EXCLUSIVE MODE",
  "replacing standings": "LOCK TABLE standing IN SHARE ROW EXCLUSIVE MODE",
  "telling the audit log": "LOCK TABLE audit_log IN SHARE ROW EXCLUSIVE MODE",
} as const;
export type Place = keyof typeof HOLDS;
/** In their order. */
export const PLACES = Object.keys(HOLDS) as Place[];

export interface Kills {
  /** While runs are evaluated, evenly. */
  readonly evaluating: number;
  /** Then, once at each. */
  readonly places: readonly Place[];
}

export interface ReevaluationSummary {
  readonly runs: number;
  /** Kills of the service, each followed by a new start. */
  readonly kills: number;
  /** Where it was killed at its end, and the version that counted then. */
  readonly versionsAtPlaces: readonly (readonly [Place, number])[];
  /** Runs done when the service was killed, and when it had come up again. */
  readonly doneAtKills: readonly (readonly [number, number])[];
  /** Rankings read while it went on, those that were as before, as after, and as neither. */
  readonly ranked: { readonly before: number; readonly after: number; readonly mixed: number };
  /** Runs with another number of evaluations than one under each version. */
  readonly evaluatedOtherwise: number;
  /** Runs whose current evaluation is not the one under the next version. */
  readonly notSwitched: number;
  /** Accepted runs that wait again, and those that had to. */
  readonly revoked: readonly [number, number];
  readonly effectsAsForetold: boolean;
  readonly standingsChanged: number;
  /** Jobs of the re-evaluation; what follows from changed standings is done after it. */
  readonly jobsLeft: number;
  readonly seconds: { readonly dryRun: number; readonly reevaluation: number; readonly all: number };
}

interface Progress {
  readonly id: string;
  readonly state: string;
  readonly total: number;
  readonly done: number;
  readonly effects: Effects;
}

/** A record and its service, some part of which can be killed. */
export interface Trial {
  readonly connectionString: string;
  /** Of the record's database, as its superuser. */
  readonly ownerConnectionString: string;
  readonly league: League;
  /** Has so many runs accepted. */
  play(runs: number): Promise<void>;
  /** Called once the next version is published and before its re-evaluation is asked for. */
  begin?(): Promise<void>;
  /** Ends all that is at work on the re-evaluation, as a loss of power would. */
  kill(): Promise<void>;
  /** @param isLast nothing will be killed any more */
  startAgain(isLast: boolean): Promise<void>;
}

/** The trial on a database of its own, with a service and the worker beside it as programs that are killed together. */
export async function runReevaluation(
  runs: number,
  kills: Kills,
  say: (line: string) => void,
): Promise<ReevaluationSummary> {
  const folder = await mkdtemp(join(tmpdir(), "packledger-reevaluation-"));
  const database = new DatabaseServer(folder);
  const connectionString = await database.start();
  const url = `http://127.0.0.1:${await freePort()}`;
  const limits = { LIMIT_ADDRESS: "1000000", LIMIT_ACCOUNT: "1000000" };
  const environment = trialEnvironment(connectionString, url, { SETUP_TOKEN, ...limits });
  const service = new Program(built("main.js"), environment, join(folder, "service.log"), () => isReady(url));
  try {
    await service.start();
    const league = new League(url);
    const trial: Trial = {
      connectionString,
      ownerConnectionString: asOwner(database),
      league,
      async play(count) {
        await league.register(SETUP_TOKEN);
        await league.play(count);
      },
      kill: () => service.kill(),
      startAgain: () => service.start(),
    };
    return await followReevaluation(trial, runs, kills, say);
  } finally {
    await service.kill();
    await database.stop();
    await rm(folder, { recursive: true, force: true });
  }
}

/** Has runs accepted, publishes the next version, and evaluates all runs under it while what does so is killed and started again. */
export async function followReevaluation(
  { connectionString, ownerConnectionString, league, ...trial }: Trial,
  runs: number,
  { evaluating, places }: Kills,
  say: (line: string) => void = () => undefined,
): Promise<ReevaluationSummary> {
  const startedAt = performance.now();
  await trial.play(runs);
  say(`${runs} runs uploaded and accepted`);
  const dryAt = performance.now();
  const foretold = await untilEnded(league, await begin(league, { dryRun: true, document: NEXT }));
  const dryRunSeconds = secondsSince(dryAt);
  say(
    `dry run: ${foretold.effects.verdictsChanged} verdicts and ${foretold.effects.standingsChanged} standings would change`,
  );
  await league.ask("POST", "/v1/protocols/full-load/versions", NEXT);
  await trial.begin?.();

  const before = await league.ask("GET", RANKING);
  const watch = new RankingWatch(league.url);
  const begunAt = performance.now();
  const id = await begin(league, {});
  const doneAtKills: [number, number][] = [];
  const holdAt = (place: Place | undefined) => place && Hold.by(ownerConnectionString, HOLDS[place]);
  let killed = 0;
  const startAgain = () => {
    const isLast = ++killed === evaluating + places.length;
    if (isLast) watch.pace = "often";
    return trial.startAgain(isLast);
  };
  let hold = await holdAt(places[0]);
  for (let kill = 1; kill <= evaluating; kill++) {
    const done = await untilDone(league, id, (runs * kill) / (evaluating + 1));
    await trial.kill();
    await startAgain();
    doneAtKills.push([done, (await progressOf(league, id)).done]);
    say(`killed at ${done} of ${runs} runs, and started again`);
  }
  const versionsAtPlaces: [Place, number][] = [];
  for (const [index, place] of places.entries()) {
    await hold?.untilAwaited();
    // Before it goes on: it must not pass the next place while nobody holds that.
    const next = await holdAt(places[index + 1]);
    await trial.kill();
    versionsAtPlaces.push([place, await activeVersion(connectionString)]);
    await hold?.letGo();
    hold = next;
    await startAgain();
    say(`killed while ${place}, and started again`);
  }
  const ended = await untilEnded(league, id);
  const seconds = { dryRun: dryRunSeconds, reevaluation: secondsSince(begunAt), all: 0 };
  const after = await league.ask("GET", RANKING);
  const seen = await watch.end();
  const same = (page: unknown, other: unknown) => isDeepStrictEqual(page, other);
  const record = await inspect(connectionString);
  return {
    runs,
    kills: evaluating + places.length,
    doneAtKills,
    versionsAtPlaces,
    ranked: {
      before: seen.filter((page) => same(page, before)).length,
      after: seen.filter((page) => same(page, after)).length,
      mixed: seen.filter((page) => !same(page, before) && !same(page, after)).length,
    },
    ...record,
    revoked: [record.waiting, foretold.effects.acceptanceRevoked],
    effectsAsForetold: isDeepStrictEqual(ended.effects, foretold.effects),
    standingsChanged: ended.effects.standingsChanged,
    seconds: { ...seconds, all: secondsSince(startedAt) },
  };
}

const secondsSince = (instant: number): number => (performance.now() - instant) / 1000;

async function begin(league: League, more: object): Promise<string> {
  const { id } = await league.ask("POST", "/v1/reevaluations", { protocol: "full-load", ...more });
  return String(id);
}

async function progressOf(league: League, id: string): Promise<Progress> {
  return (await league.ask("GET", `/v1/reevaluations/${id}`)) as unknown as Progress;
}

async function untilDone(league: League, id: string, least: number): Promise<number> {
  for (;;) {
    const { done, state } = await progressOf(league, id);
    if (done >= least || state !== "evaluating") return done;
    await delay(50);
  }
}

async function untilEnded(league: League, id: string): Promise<Progress> {
  for (;;) {
    const progress = await progressOf(league, id);
    if (progress.state === "finished") return progress;
    if (progress.state !== "evaluating") throw new Error(`the re-evaluation is ${progress.state}`);
    await delay(50);
  }
}

/** Between two readings of the ranking, ms: while what re-evaluates is held up, killed and started, and when it may switch at any moment. */
const READ_MS = { seldom: 250, often: 10 } as const;

/** Reads the ranking again and again, also while nobody answers. */
class RankingWatch {
  /** How often. */
  pace: keyof typeof READ_MS = "seldom";
  private readonly seen: unknown[] = [];
  private isEnding = false;
  private readonly watching: Promise<void>;

  constructor(private readonly url: string) {
    this.watching = this.watch();
  }

  async end(): Promise<unknown[]> {
    this.isEnding = true;
    await this.watching;
    return this.seen;
  }

  private async watch(): Promise<void> {
    while (!this.isEnding) {
      try {
        const answer = await fetch(`${this.url}${RANKING}`);
        // Parsed here, as the rankings that it is held against are: what `json()` makes has other prototypes within the tests.
        if (answer.status === 200) this.seen.push(JSON.parse(await answer.text()));
        else if (answer.status !== 503) throw new Error(`the ranking was answered ${answer.status}`);
      } catch (error) {
        if (!isUnanswered(error)) throw error;
      }
      await delay(READ_MS[this.pace]);
    }
  }
}

/** The trial's database, as its superuser. */
function asOwner({ running }: DatabaseServer): string {
  return Object.assign(new URL(running.ownerConnectionString), { pathname: "/packledger" }).href;
}

/** The version of the protocol that counts. */
function activeVersion(connectionString: string): Promise<number> {
  return withClient(connectionString, async (client) => {
    const { rows } = await client.query<{ version: number }>(
      "SELECT protocol_version AS version FROM active_version WHERE protocol_key = 'full-load'",
    );
    return rows[0]?.version ?? Number.NaN;
  });
}

async function withClient<T>(connectionString: string, ask: (client: Postgres) => Promise<T>): Promise<T> {
  const client = new Postgres({ connectionString });
  await client.connect();
  try {
    return await ask(client);
  } finally {
    await client.end();
  }
}

function inspect(connectionString: string) {
  return withClient(connectionString, async (client) => {
    const { rows } = await client.query<{
      evaluatedOtherwise: number;
      notSwitched: number;
      waiting: number;
      jobsLeft: number;
    }>(`
      WITH counted AS (
        SELECT run.id, run.review_state, current.protocol_version AS version,
          count(*) FILTER (WHERE evaluation.protocol_version = ${NEXT.version - 1}) AS first,
          count(*) FILTER (WHERE evaluation.protocol_version = ${NEXT.version}) AS second
        FROM run
        JOIN evaluation ON evaluation.run_id = run.id
        JOIN evaluation AS current ON current.id = run.current_evaluation_id
        GROUP BY run.id, run.review_state, current.protocol_version)
      SELECT count(*) FILTER (WHERE first <> 1 OR second <> 1)::int AS "evaluatedOtherwise",
        count(*) FILTER (WHERE version <> ${NEXT.version})::int AS "notSwitched",
        count(*) FILTER (WHERE review_state = 'pending')::int AS waiting,
        (SELECT count(*)::int FROM graphile_worker.jobs WHERE task_identifier LIKE '%reevaluat%') AS "jobsLeft"
      FROM counted`);
    const [row] = rows;
    if (!row) throw new Error("the record was not counted");
    return row;
  });
}
