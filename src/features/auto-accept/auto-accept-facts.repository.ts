import { createHmac } from "node:crypto";
import { Injectable } from "@nestjs/common";
import type { AutoAcceptFacts, AutoAcceptLimits } from "../../core/auto-accept/criteria.js";
import { COPY_METHOD } from "../../core/copies/evidence.js";
import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { placesWhenSeen } from "../../platform/database/rows/moved-runs.js";

/** What the database knows of a run by itself, without the ranking. */
export type FactsOfRun = Omit<AutoAcceptFacts, "effects" | "isActiveVersion" | "isSampled"> & {
  readonly logSha256: Uint8Array;
};

@Injectable()
export class AutoAcceptFactsRepository {
  /** Null when there is no such run. */
  async of(
    runId: string,
    { noRejectionDays }: Pick<AutoAcceptLimits, "noRejectionDays">,
    tx: Transaction,
  ): Promise<FactsOfRun | null> {
    const [facts] = await tx.$queryRaw<FactsOfRun[]>`
      SELECT evaluation.verdict, run.log_sha256 AS "logSha256",
        run.review_state = 'pending' AND run.state = 'processed' AND NOT run.appealed AND tester.erased_at IS NULL
          AND NOT EXISTS (SELECT FROM review WHERE review.run_id = run.id)
          AND NOT EXISTS (SELECT FROM run AS replaced WHERE replaced.replaced_by_id = run.id)
          AND NOT EXISTS (SELECT FROM review_proposal WHERE review_proposal.run_id = run.id)
          AND NOT EXISTS (SELECT FROM review_claim WHERE review_claim.run_id = run.id AND review_claim.until > now())
          AS "isUntouched",
        (SELECT count(*) FROM finding WHERE finding.evaluation_id = evaluation.id
          AND finding.severity = 'advised' AND finding.outcome = 'fail')::int AS "failedAdvice",
        EXISTS (SELECT FROM copy_fingerprint WHERE copy_fingerprint.run_id = run.id
          AND copy_fingerprint.method = ${COPY_METHOD} AND copy_fingerprint.checked_at >= evaluation.created_at) AS "isCompared",
        (SELECT count(*) FROM copy_match JOIN run AS later ON later.id = copy_match.later_run_id
          WHERE later.id = run.id OR (copy_match.earlier_run_id = run.id AND later.review_state = 'accepted'))::int
          AS copies,
        (SELECT count(*) FROM run AS same WHERE same.log_sha256 = run.log_sha256 AND same.id < run.id)::int
          AS "sameLogs",
        (SELECT count(*) FROM run AS unseen
          JOIN evaluation AS judged ON judged.id = unseen.current_evaluation_id AND judged.verdict <> 'nonconforming'
          JOIN specimen AS theirs ON theirs.id = unseen.specimen_id
          JOIN audit_log AS withdrawal ON withdrawal.subject_kind = 'run' AND withdrawal.subject_id = unseen.id::text
            AND withdrawal.event = 'withdraw'
          WHERE unseen.tester_id = run.tester_id AND unseen.review_state = 'withdrawn'
            AND NOT EXISTS (SELECT FROM review WHERE review.run_id = unseen.id AND review.moderator_id IS NOT NULL)
            AND NOT EXISTS (SELECT FROM run AS successor
              JOIN specimen AS tested ON tested.id = successor.specimen_id
              JOIN review ON review.run_id = successor.id AND review.moderator_id IS NOT NULL
              WHERE successor.tester_id = run.tester_id AND successor.created_at > withdrawal.at
                AND (theirs.pack_id <> specimen.pack_id OR tested.pack_id = specimen.pack_id)))::int
          + (SELECT count(*) FROM (${placesWhenSeen(Prisma.sql`moved.actor_id = run.tester_id`)}) AS seen
          JOIN run AS tried ON tried.id = seen.run_id
          WHERE tried.tester_id = run.tester_id AND tried.pack_id <> seen.pack_id AND tried.review_state <> 'withdrawn'
            AND NOT EXISTS (SELECT FROM run AS successor
              JOIN review ON review.run_id = successor.id AND review.moderator_id IS NOT NULL
              WHERE successor.tester_id = run.tester_id AND successor.created_at > (SELECT max(moved.at) FROM audit_log AS moved
                  WHERE moved.subject_kind = 'run' AND moved.subject_id = tried.id::text AND moved.event = 'move')
                AND (seen.pack_id <> specimen.pack_id OR successor.pack_id = specimen.pack_id)))::int AS "withdrawnUnseen",
        (SELECT count(*) FROM run AS earlier WHERE earlier.tester_id = run.tester_id AND earlier.review_state = 'accepted'
          AND EXISTS (SELECT FROM review WHERE review.run_id = earlier.id AND review.moderator_id IS NOT NULL
            AND review.decision = 'accept'))::int AS "moderatorAcceptances",
        (SELECT count(*) FROM run AS other JOIN audit_log ON audit_log.subject_kind = 'run'
            AND audit_log.subject_id = other.id::text
          WHERE other.tester_id = run.tester_id AND audit_log.at > now() - make_interval(days => ${noRejectionDays}::int)
            AND (audit_log.event = 'reject' OR audit_log.event LIKE 'undo-%'))::int AS blemishes,
        floor(extract(epoch FROM now() - tester.created_at) / 86400)::int AS "accountDays",
        pack.created_by_id = run.tester_id AS "isOwnPack",
        (SELECT count(*) FROM review JOIN run AS other ON other.id = review.run_id
          WHERE other.tester_id = run.tester_id AND review.rule_version IS NOT NULL
            AND review.created_at > now() - interval '24 hours')::int AS "acceptedToday"
      FROM run
      JOIN account AS tester ON tester.id = run.tester_id
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id
      WHERE run.id = ${runId}::uuid`;
    return facts ?? null;
  }

  /** The key by which this database draws its sample. */
  async sampleKey(tx: Transaction): Promise<Uint8Array> {
    return (await tx.autoAcceptSampleKey.findFirstOrThrow()).key;
  }
}

/**
 * Whether a log is one of the sample. The key is known to nobody outside the database, so that no tester foresees the draw; the
 * same log is drawn again, whatever run it is uploaded for.
 *
 * @param logSha256 SHA-256 of the log
 */
export function isSampled(logSha256: Uint8Array, sampleKey: Uint8Array, sampleOneIn: number): boolean {
  return createHmac("sha256", sampleKey).update(logSha256).digest().readUIntBE(0, 6) % sampleOneIn === 0;
}
