import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { classesOfRun } from "./run-classes.js";

/** What an act of a moderator touches: everything that bears on places in the same classes. */
export interface Touched {
  readonly packIds?: readonly string[];
  /** Classes that a pack comes to by a correction. */
  readonly classes?: readonly { readonly chemistry: string; readonly series: number }[];
  /** A run, with the classes that it was in before. */
  readonly runId?: string;
  /** A tester, by the classes of the packs with runs of theirs that count. */
  readonly testerId?: string;
}

/** Knows who has a stake in what is touched: whoever has ever uploaded a run of the same chemistry and cell count. */
@Injectable()
export class ConflictsRepository {
  async hasStake(tx: Transaction, accountId: string, touched: Touched): Promise<boolean> {
    const rows = await tx.$queryRaw<object[]>`
      SELECT FROM (${classesOf(touched)}) AS touched JOIN class_interest AS interest USING (chemistry, series)
      WHERE interest.account_id = ${accountId}::uuid LIMIT 1`;
    return rows.length > 0;
  }

  /** Whether every other moderator and administrator has a stake in it too. */
  async nobodyIsFree(tx: Transaction, accountId: string, touched: Touched): Promise<boolean> {
    const rows = await tx.$queryRaw<object[]>`
      SELECT FROM account
      WHERE role <> 'tester' AND suspended_at IS NULL AND erased_at IS NULL AND id <> ${accountId}::uuid
        AND NOT EXISTS (SELECT FROM (${classesOf(touched)}) AS touched JOIN class_interest AS interest USING (chemistry, series)
          WHERE interest.account_id = account.id) LIMIT 1`;
    return rows.length === 0;
  }
}

function classesOf({ packIds = [], classes = [], runId, testerId }: Touched): Prisma.Sql {
  const parts = [
    Prisma.sql`SELECT pack.chemistry, pack.series FROM pack WHERE pack.id = ANY(${[...packIds]}::uuid[])`,
    ...classes.map(({ chemistry, series }) => Prisma.sql`SELECT ${chemistry}::text, ${series}::int`),
    ...(runId === undefined ? [] : [classesOfRun(Prisma.sql`${runId}::uuid`)]),
    ...(testerId === undefined ? [] : [classesOfTester(testerId)]),
  ];
  return Prisma.join(parts, " UNION ");
}

const classesOfTester = (testerId: string): Prisma.Sql => Prisma.sql`
  SELECT its_pack.chemistry, its_pack.series FROM run AS its_run JOIN pack AS its_pack ON its_pack.id = its_run.pack_id
  WHERE its_run.tester_id = ${testerId}::uuid AND (its_run.review_state = 'accepted' OR its_run.withdrawn_from IS NOT NULL)`;
