import { Injectable } from "@nestjs/common";
import { Prisma, type SealedRound } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import type { CursorKey } from "../../platform/paging/cursor.js";
import type { Window } from "../../platform/paging/page.js";

/** A round with how many testers take part. */
export interface SealedRoundRow extends Pick<SealedRound, "id" | "packId" | "opensAt" | "closesAt"> {
  readonly testers: number;
}

@Injectable()
export class SealedRoundsRepository {
  constructor(private readonly database: Database) {}

  /** Rounds, those that opened last first. */
  list(open: boolean | null, { after, before, backward, take }: Window): Promise<SealedRoundRow[]> {
    const at = ([id]: CursorKey) => Prisma.sql`${String(id)}::uuid`;
    const between = Prisma.join(
      [
        conditionOf(open),
        ...(after ? [Prisma.sql`id < ${at(after)}`] : []),
        ...(before ? [Prisma.sql`id > ${at(before)}`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`sealed_round.id` : Prisma.sql`sealed_round.id DESC`;
    return this.database.$queryRaw<SealedRoundRow[]>`
      SELECT ${COLUMNS} FROM sealed_round WHERE ${between} ORDER BY ${order} LIMIT ${take}`;
  }

  async count(open: boolean | null): Promise<number> {
    const rows = await this.database.$queryRaw<{ rounds: number }[]>`
      SELECT count(*)::int AS rounds FROM sealed_round WHERE ${conditionOf(open)}`;
    return rows[0]?.rounds ?? 0;
  }

  async find(id: string): Promise<SealedRoundRow | null> {
    const rows = await this.database.$queryRaw<SealedRoundRow[]>`
      SELECT ${COLUMNS} FROM sealed_round WHERE id = ${id}::uuid`;
    return rows[0] ?? null;
  }

  /** Locks a pack until the transaction ends; false when there is none, or it was merged or hidden. */
  async lockPack(tx: Transaction, packId: string): Promise<boolean> {
    const rows = await tx.$queryRaw<object[]>`
      SELECT FROM pack WHERE id = ${packId}::uuid AND merged_into_id IS NULL AND hidden_at IS NULL FOR NO KEY UPDATE`;
    return rows.length > 0;
  }

  /** Whether anybody may have seen a result of a pack: a run of it is accepted, or was, or stands withdrawn on its tester's page. */
  async wasSeen(tx: Transaction, packId: string): Promise<boolean> {
    const rows = await tx.$queryRaw<object[]>`
      SELECT FROM run JOIN specimen ON specimen.id = run.specimen_id
      WHERE specimen.pack_id = ${packId}::uuid AND (run.review_state = 'accepted' OR run.withdrawn_from IS NOT NULL
        OR EXISTS (SELECT FROM review WHERE review.run_id = run.id AND review.decision = 'accept')) LIMIT 1`;
    return rows.length > 0;
  }

  async create(tx: Transaction, data: { packId: string; closesAt: Date; openedById: string }): Promise<string> {
    return (await tx.sealedRound.create({ data, select: { id: true } })).id;
  }

  /** Publishes that records of testers show what they withdrew of a pack while nobody saw it. */
  async noteTesters(tx: Transaction, packId: string): Promise<void> {
    await tx.$executeRaw`
      SELECT note_change('tester', tester_id, 'changed')
      FROM (SELECT DISTINCT tester_id FROM run WHERE pack_id = ${packId}::uuid AND withdrawn_from IS NOT NULL) AS its`;
  }

  /** Runs of a pack that wait for a decision. */
  async waiting(tx: Transaction, packId: string): Promise<string[]> {
    const where = { specimen: { packId }, review: "pending", state: "processed" };
    return (await tx.run.findMany({ where, select: { id: true } })).map(({ id }) => id);
  }
}

const COLUMNS = Prisma.sql`id::text, pack_id::text AS "packId", opens_at AS "opensAt", closes_at AS "closesAt",
  (SELECT count(DISTINCT run.tester_id) FROM run JOIN specimen ON specimen.id = run.specimen_id
    WHERE specimen.pack_id = sealed_round.pack_id AND run.review_state <> 'withdrawn'
      AND run.created_at BETWEEN sealed_round.opens_at AND sealed_round.closes_at)::int AS testers`;

const conditionOf = (open: boolean | null): Prisma.Sql =>
  open === null ? Prisma.sql`true` : open ? Prisma.sql`closes_at > now()` : Prisma.sql`closes_at <= now()`;
