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
  /** A tester, by every class in which they have ever uploaded a run: one that waits is a rival's as well as one that counts. */
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
  SELECT its.chemistry, its.series FROM class_interest AS its WHERE its.account_id = ${testerId}::uuid`;
