import type { Prisma } from "../../generated/prisma/client.js";
import type { Database } from "../../platform/database/database.js";
import { withBudgets } from "../../platform/database/rows/figure-rows.js";
import { withOthers } from "../../platform/database/rows/finding-rows.js";
import { LogChunksRepository } from "../../platform/storage/log-chunks.repository.js";

const RUNS_AT_A_TIME = 500;
const EVALUATIONS_AT_A_TIME = 20;

/** A run beside what the audit log says of it. */
export interface RecordedRun {
  readonly id: string;
  /** State and review state. */
  readonly status: string;
  /** The same after the last entry that changed it; null where there is none. */
  readonly recorded: string | null;
  /** Whether its current evaluation is of its own log; null where it has none. */
  readonly isOfItsLog: boolean | null;
}

const RUNS = `
  select run.id::text as id, run.state || '/' || run.review_state as status,
    evaluation.log_sha256 = run.log_sha256 as "isOfItsLog",
    (select to_state from audit_log where subject_kind = 'run' and subject_id = run.id::text and to_state like '%/%'
      order by position desc limit 1) as recorded
  from run left join evaluation on evaluation.id = run.current_evaluation_id
  where run.id > $1::uuid order by run.id limit ${RUNS_AT_A_TIME}`;

/** An account beside what the audit log says of it. */
export interface RecordedAccount {
  readonly id: string;
  readonly role: string;
  readonly isErased: boolean;
  /** Its role after the last entry, or `erased`; null where there is none. */
  readonly recorded: string | null;
}

const ACCOUNTS = `
  select account.id::text as id, role, erased_at is not null as "isErased",
    (select to_state from audit_log where subject_kind = 'account' and subject_id = account.id::text
      and event in ('register', 'grant', 'erase') order by position desc limit 1) as recorded
  from account where account.id > $1::uuid order by account.id limit ${RUNS_AT_A_TIME}`;

const DIGESTS = `
  select evaluation_id::text as id, encoding, encode(sha256(data), 'hex') as sha256,
    (select to_state from audit_log where subject_kind = 'evaluation' and subject_id = evaluation_id::text
      and event = 'evaluate' order by position limit 1) as recorded
  from trace where evaluation_id = any($1::uuid[])`;

/** Logs but those whose bytes were removed since no run of them was ever evaluated. */
const LOGS = `
  select sha256, bytes from log where sha256 > $1 and (
    exists (select from run join evaluation on evaluation.run_id = run.id where run.log_sha256 = log.sha256)
    or not exists (select from log_removal where log_removal.sha256 = log.sha256))
  order by sha256 limit ${RUNS_AT_A_TIME}`;

/** What the audit log says was stored, and is not there. */
const MISSING = `
  select position::int as position, subject_kind as kind, subject_id as id from audit_log
  where position > $1 and (
    (event = 'upload' and subject_kind = 'run' and not exists (select from run where run.id = subject_id::uuid))
    or (event = 'register' and subject_kind = 'account' and not exists (select from account where account.id = subject_id::uuid))
    or (event = 'evaluate' and subject_kind = 'evaluation' and not exists (select from evaluation where evaluation.id = subject_id::uuid)))
  order by position limit ${RUNS_AT_A_TIME}`;

const BEFORE_ALL = "00000000-0000-0000-0000-000000000000";

const WITH_PARTS = { figures: true, budgets: true, findings: true, otherFindings: true, adjustments: true } as const;
type EvaluationRow = Prisma.EvaluationGetPayload<{ include: typeof WITH_PARTS }>;

/** Reads what the audit log describes, a bounded number of rows at a time. */
export class RecordedStateRepository {
  private readonly logChunksRepository: LogChunksRepository;

  constructor(private readonly database: Database) {
    this.logChunksRepository = new LogChunksRepository(database);
  }

  runs(): AsyncGenerator<RecordedRun> {
    return this.byId<RecordedRun>(RUNS);
  }

  accounts(): AsyncGenerator<RecordedAccount> {
    return this.byId<RecordedAccount>(ACCOUNTS);
  }

  /** Evaluations with all that their digests cover, null where it cannot be unpacked, and the digest that the audit log holds. */
  async *evaluations() {
    let after = BEFORE_ALL;
    for (;;) {
      const found = await this.database.evaluation.findMany({
        where: { id: { gt: after } },
        include: WITH_PARTS,
        orderBy: { id: "asc" },
        take: EVALUATIONS_AT_A_TIME,
      });
      const { rows } = await this.database.pool.query<TraceDigest>(DIGESTS, [found.map(({ id }) => id)]);
      const traces = new Map(rows.map((row) => [row.id, row]));
      for (const evaluation of found) {
        const whole = wholeOf(evaluation);
        yield { id: evaluation.id, runId: evaluation.runId, whole, trace: traces.get(evaluation.id) ?? null };
      }
      const last = found.at(-1);
      if (!last || found.length < EVALUATIONS_AT_A_TIME) return;
      after = last.id;
    }
  }

  /** The digests under which logs are stored, as SHA-256 and length. */
  async *logs(): AsyncGenerator<{ readonly sha256: Buffer<ArrayBuffer>; readonly bytes: number }> {
    let after = Buffer.alloc(0);
    for (;;) {
      const { rows } = await this.database.pool.query<{ sha256: Buffer<ArrayBuffer>; bytes: string }>(LOGS, [after]);
      for (const { sha256, bytes } of rows) yield { sha256, bytes: Number(bytes) };
      const last = rows.at(-1);
      if (!last || rows.length < RUNS_AT_A_TIME) return;
      after = last.sha256;
    }
  }

  /** The bytes of a log as they were uploaded, a chunk at a time. @throws DamagedLog */
  async *chunks(sha256: Buffer<ArrayBuffer>): AsyncGenerator<Uint8Array> {
    for (let position = 0; ; position++) {
      const chunk = await this.logChunksRepository.find(sha256, position);
      if (!chunk) return;
      yield chunk;
    }
  }

  async *missing(): AsyncGenerator<{ readonly position: number; readonly kind: string; readonly id: string }> {
    let after = 0;
    for (;;) {
      const { rows } = await this.database.pool.query<{ position: number; kind: string; id: string }>(MISSING, [after]);
      yield* rows;
      const last = rows.at(-1);
      if (!last || rows.length < RUNS_AT_A_TIME) return;
      after = last.position;
    }
  }

  private async *byId<T extends { readonly id: string }>(statement: string): AsyncGenerator<T> {
    let after = BEFORE_ALL;
    for (;;) {
      const { rows } = await this.database.pool.query<T>(statement, [after]);
      yield* rows;
      const last = rows.at(-1);
      if (!last || rows.length < RUNS_AT_A_TIME) return;
      after = last.id;
    }
  }
}

/** An evaluation with what is packed of it; null where that cannot be unpacked. */
function wholeOf({ budgets, figures, findings, otherFindings, ...evaluation }: EvaluationRow) {
  try {
    return {
      ...evaluation,
      figures: withBudgets(figures, budgets),
      findings: withOthers(evaluation.id, findings, otherFindings),
    };
  } catch {
    return null;
  }
}

interface TraceDigest {
  readonly id: string;
  readonly encoding: string;
  readonly sha256: string;
  readonly recorded: string | null;
}
