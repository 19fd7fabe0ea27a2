import { Prisma } from "../../../generated/prisma/client.js";

/** Runs of the same tester with the log of a `run`, of the same pack under the same protocol, with the same discharge of it, 0 being any. */
const SAME_MEASUREMENT = Prisma.sql`standing.log_sha256 = run.log_sha256 AND standing.tester_id = run.tester_id
  AND standing.pack_id = run.pack_id AND standing.protocol_key = run.protocol_key AND standing.id <> run.id
  AND (standing.discharge = run.discharge OR 0 IN (standing.discharge, run.discharge))`;

/**
 * Whether the measurement of a withdrawn `run` counts by another run instead: an accepted one, or of several that were withdrawn the first,
 * those before others that had been accepted. So one measurement counts once, and neither a run that is pending or rejected nor one
 * that does not conform takes it away.
 */
const COUNTS_ELSEWHERE = Prisma.sql`EXISTS (SELECT FROM run AS standing WHERE ${SAME_MEASUREMENT}
  AND (standing.review_state = 'accepted' OR (standing.withdrawn_from <> 'rejected' AND standing.withdrawal_excused_by_id IS NULL
    AND (standing.withdrawn_from <> 'accepted', standing.id) < (run.withdrawn_from <> 'accepted', run.id)
    AND EXISTS (SELECT FROM evaluation AS judged WHERE judged.id = standing.current_evaluation_id
      AND judged.verdict <> 'nonconforming'))))`;

/**
 * Whether a withdrawn `run` stays in what its tester found, beside its current `evaluation`: it conforms, it was withdrawn when its figures had
 * been seen, no moderator had rejected it or has accepted the cause, and its log does not count by another run.
 */
export const COUNTS_WITHDRAWN = Prisma.sql`(run.withdrawn_from IS NOT NULL AND run.withdrawn_from <> 'rejected'
  AND run.withdrawal_excused_by_id IS NULL AND evaluation.verdict <> 'nonconforming' AND NOT ${COUNTS_ELSEWHERE})`;
