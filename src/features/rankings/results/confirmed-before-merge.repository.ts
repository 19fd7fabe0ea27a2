import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../../generated/prisma/client.js";
import type { Transaction } from "../../../platform/database/database.js";
import { insertRows } from "../../../platform/database/rows/insert-rows.js";
import { carriedBy, confirmedName } from "./pack-figures.js";

type Confirmed = Prisma.ConfirmedValueGetPayload<object>;

/** Keeps what was confirmed of packs before others were merged into them. */
@Injectable()
export class ConfirmedBeforeMergeRepository {
  /** Keeps what is confirmed of a pack that another one is merged into now. */
  async keep(tx: Transaction, packId: string, intoId: string): Promise<void> {
    const confirmed = await tx.confirmedValue.findMany({ where: { packId: intoId } });
    await tx.confirmedBeforeMerge.create({ data: { packId, intoId, confirmed: confirmed.map(rowOf) } });
  }

  /**
   * Confirms again what was confirmed before a pack was merged, since testers of the merged pack may have confirmed other values; what moderators have
   * confirmed meanwhile stays. What was kept at later merges into the same pack is of a time when this one was merged: it is replaced as well.
   * Nothing is done of merges of which nothing was kept.
   */
  async putBack(tx: Transaction, packId: string): Promise<void> {
    const kept = await tx.confirmedBeforeMerge.findUnique({ where: { packId } });
    if (!kept) return;
    const { intoId, createdAt } = kept;
    const confirmed = kept.confirmed as unknown as Confirmed[];
    const ofModerators = { packId: intoId, moderatorId: { not: null }, confirmedAt: { gt: createdAt } };
    const staying = await tx.confirmedValue.findMany({ where: ofModerators });
    const names = new Set(staying.map(confirmedName));
    const again = [...staying, ...confirmed.filter((one) => !names.has(confirmedName(one)))];
    await tx.confirmedValue.deleteMany({ where: { packId: intoId } });
    await insertRows(tx, "confirmed_value", again);
    await tx.confirmedBeforeMerge.updateMany({
      where: { intoId, createdAt: { gt: createdAt } },
      data: { confirmed: again.map(rowOf) },
    });
    await tx.confirmedBeforeMerge.delete({ where: { packId } });
  }

  /**
   * Moves what was kept of a pack, at every merge into it, as a correction of it moves what is confirmed.
   *
   * @param factors by the names of the confirmed values under the protocol
   */
  async carry(
    tx: Transaction,
    intoId: string,
    protocolKey: string,
    factors: ReadonlyMap<string, number>,
  ): Promise<void> {
    for (const { packId, confirmed } of await tx.confirmedBeforeMerge.findMany({ where: { intoId } })) {
      const carried = (confirmed as unknown as Confirmed[]).map((one) =>
        one.protocolKey === protocolKey ? carriedBy(one, factors.get(confirmedName(one)) ?? 1) : one,
      );
      await tx.confirmedBeforeMerge.update({ where: { packId }, data: { confirmed: carried.map(rowOf) } });
    }
  }
}

const rowOf = (one: Confirmed) => ({ ...one, confirmedAt: new Date(one.confirmedAt).toISOString() });
