import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";

/** Whose a pack is: who registered it, and who has a specimen of it. */
@Injectable()
export class PackPeople {
  async registrantsOf(tx: Transaction, packIds: readonly string[]): Promise<string[]> {
    const packs = await tx.pack.findMany({ where: { id: { in: [...packIds] } }, select: { createdById: true } });
    return packs.map(({ createdById }) => createdById);
  }

  /** @param mergedFrom only of specimens that came from one of these packs by a merge; of all when left out */
  async ownersOf(tx: Transaction, packId: string, mergedFrom?: readonly string[]): Promise<string[]> {
    const where = { packId, ...(mergedFrom ? { mergedFromId: { in: [...mergedFrom] } } : {}) };
    const specimens = await tx.specimen.findMany({ where, distinct: "ownerId", select: { ownerId: true } });
    return specimens.map(({ ownerId }) => ownerId);
  }

  /** Both of one pack. */
  async of(tx: Transaction, packId: string): Promise<string[]> {
    return [...new Set([...(await this.registrantsOf(tx, [packId])), ...(await this.ownersOf(tx, packId))])];
  }
}
