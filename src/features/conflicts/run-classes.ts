import { Prisma } from "../../generated/prisma/client.js";

/**
 * Rows of chemistry and cell count: the class of a run's pack, and those that the run was in before, by a move, a merge or a correction of its
 * pack.
 *
 * @param runId the id of the run, as SQL
 */
export const classesOfRun = (runId: Prisma.Sql): Prisma.Sql => Prisma.sql`
  SELECT its_pack.chemistry, its_pack.series FROM run AS its_run JOIN pack AS its_pack ON its_pack.id = its_run.pack_id
  WHERE its_run.id = ${runId}
  UNION SELECT former.chemistry, former.series FROM run_former_class AS former WHERE former.run_id = ${runId}`;
