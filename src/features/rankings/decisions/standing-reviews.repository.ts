import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { isUuid } from "../../../platform/database/rows/uuid.js";
import type { CursorKey } from "../../../platform/paging/cursor.js";
import type { Window } from "../../../platform/paging/page.js";

/** A pack with something to decide under a protocol. */
export interface UndecidedPack {
  readonly protocolKey: string;
  readonly packId: string;
}

/** One standing. */
interface StandingKey extends UndecidedPack {
  readonly figure: string;
  /** 0 under the runs' own loads. */
  readonly load: number;
}

/** Reads what of standings waits for a moderator, and writes what was decided. */
@Injectable()
export class StandingReviewsRepository {
  constructor(private readonly database: Database) {}

  /** Packs with disputed standings or held results, by protocol. */
  undecided({ after, before, backward, take }: Window): Promise<UndecidedPack[]> {
    const at = ([protocol, packId]: CursorKey) =>
      Prisma.sql`(${String(protocol)}::text COLLATE "C", ${String(packId)}::uuid)`;
    const key = Prisma.sql`(protocol_key COLLATE "C", pack_id)`;
    const between = Prisma.join(
      [
        Prisma.sql`(disputed OR held > 0)`,
        ...(after ? [Prisma.sql`${key} > ${at(after)}`] : []),
        ...(before ? [Prisma.sql`${key} < ${at(before)}`] : []),
      ],
      " AND ",
    );
    const order = backward
      ? Prisma.sql`protocol_key COLLATE "C" DESC, pack_id DESC`
      : Prisma.sql`protocol_key COLLATE "C", pack_id`;
    return this.database.$queryRaw<UndecidedPack[]>`
      SELECT protocol_key AS "protocolKey", pack_id::text AS "packId" FROM standing
      WHERE ${between} GROUP BY protocol_key, pack_id ORDER BY ${order} LIMIT ${take}`;
  }

  async countUndecided(): Promise<number> {
    const rows = await this.database.$queryRaw<{ packs: number }[]>`
      SELECT count(DISTINCT (protocol_key, pack_id))::int AS packs FROM standing WHERE disputed OR held > 0`;
    return rows[0]?.packs ?? 0;
  }

  /** What others see of testers, by id. */
  async testers(ids: readonly string[]): Promise<ReadonlyMap<string, { id: string; handle: string }>> {
    const where = { id: { in: [...ids] } };
    const rows = await this.database.account.findMany({ where, select: { id: true, handle: true } });
    return new Map(rows.map((row) => [row.id, row]));
  }

  /** Id of the account with this handle or id; null when there is none. */
  async testerId(tx: Transaction, handleOrId: string): Promise<string | null> {
    const where = isUuid(handleOrId)
      ? { id: handleOrId.toLowerCase() }
      : { handle: { equals: handleOrId, mode: "insensitive" as const } };
    return (await tx.account.findFirst({ where, select: { id: true } }))?.id ?? null;
  }

  async confirm(
    tx: Transaction,
    { protocolKey, figure, load, packId }: StandingKey,
    data: Prisma.ConfirmedValueUncheckedUpdateInput,
  ): Promise<void> {
    await tx.confirmedValue.update({
      where: { protocolKey_figure_load_packId: { protocolKey, figure, load, packId } },
      data,
    });
  }

  async decideOnHeld(
    tx: Transaction,
    of: StandingKey & { readonly testerId: string },
    data: { readonly value: number; readonly counts: boolean; readonly moderatorId: string },
  ): Promise<void> {
    const decided = { ...data, decidedAt: new Date() };
    await tx.holdDecision.upsert({
      where: { packId_protocolKey_figure_load_testerId: of },
      create: { ...of, ...decided },
      update: decided,
    });
  }
}
