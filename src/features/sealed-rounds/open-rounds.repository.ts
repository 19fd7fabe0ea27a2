import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";

/** Reads which packs are measured unseen now. */
@Injectable()
export class OpenRoundsRepository {
  /** When the last of the open rounds of some packs closes; null where none is open. */
  async openUntil(tx: Transaction, packIds: readonly string[]): Promise<Date | null> {
    const where = { packId: { in: [...packIds] }, closesAt: { gt: new Date() } };
    const round = await tx.sealedRound.findFirst({ where, orderBy: { closesAt: "desc" }, select: { closesAt: true } });
    return round?.closesAt ?? null;
  }
}
