import { Prisma } from "../../../generated/prisma/client.js";

/**
 * Where runs were when their tester moved them after their figures had been seen, if no moderator has accepted or moved them since; of several
 * such moves the first. Rows of `run_id`, `specimen_id` and `pack_id`, for each run that was moved so. Those whose tester's words were erased are
 * none.
 *
 * @param about a condition on `moved`, an entry of the audit log, and its tester `moved.actor_id`
 */
export const placesWhenSeen = (about: Prisma.Sql): Prisma.Sql => Prisma.sql`
  SELECT DISTINCT ON (moved.subject_id) moved.subject_id::uuid AS run_id, specimen.id AS specimen_id, specimen.pack_id
  FROM audit_log AS moved
  JOIN audit_reason AS reason USING (position)
  JOIN specimen ON specimen.id::text = substring(reason.text from '^From specimen ([0-9a-f-]{36}) of pack ')
    AND specimen.owner_id = moved.actor_id
  WHERE moved.subject_kind = 'run' AND moved.event = 'move' AND moved.from_state LIKE 'processed/%' AND ${about}
    AND NOT EXISTS (SELECT FROM audit_log AS judged
      WHERE judged.subject_kind = 'run' AND judged.subject_id = moved.subject_id AND judged.position > moved.position
        AND (judged.event IN ('accept', 'undo-to-accepted') OR (judged.event = 'move' AND judged.actor_id IS DISTINCT FROM moved.actor_id)))
  ORDER BY moved.subject_id, moved.position`;

/**
 * How often the tester of a `run` has tried its pack under its protocol and taken the result away when it was seen: runs that were withdrawn, and
 * those that were moved to another pack and that no moderator has accepted or moved since.
 */
export const TRIES = Prisma.sql`((SELECT count(*) FROM run AS tried WHERE tried.tester_id = run.tester_id AND tried.pack_id = run.pack_id
    AND tried.protocol_key = run.protocol_key AND tried.review_state = 'withdrawn')
  + (SELECT count(*) FROM (${placesWhenSeen(Prisma.sql`moved.actor_id = run.tester_id`)}) AS seen JOIN run AS tried ON tried.id = seen.run_id
    WHERE seen.pack_id = run.pack_id AND tried.pack_id <> run.pack_id AND tried.tester_id = run.tester_id
      AND tried.protocol_key = run.protocol_key AND tried.review_state <> 'withdrawn'))`;
