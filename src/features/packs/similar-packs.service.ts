import { Injectable } from "@nestjs/common";
import { type Likeness, likeness } from "../../core/register/likeness.js";
import type { Transaction } from "../../platform/database/database.js";
import { Problem } from "../../platform/problems/problem.js";
import { type RegisteredName, SimilarPacksRepository } from "./similar-packs.repository.js";

/** A pack of the record that may be the one that somebody registers. */
export interface SimilarPack extends RegisteredName {
  readonly why: Likeness;
}

/** Most candidates that are offered at once. */
const MAX_OFFERED = 10;

/** Offers what the record has already to whoever registers a pack. */
@Injectable()
export class SimilarPacksService {
  constructor(private readonly similarPacksRepository: SimilarPacksRepository) {}

  /** Makes names comparable that were registered before names were compared as they are now. */
  updateKeys(): Promise<void> {
    return this.similarPacksRepository.updateKeys();
  }

  /**
   * Holds the register until the transaction ends.
   *
   * @param differsFrom packs that it is said not to be
   * @throws Problem with the candidates when the pack may be another one of the record
   */
  async requireOther(tx: Transaction, pack: Omit<RegisteredName, "id">, differsFrom: readonly string[]): Promise<void> {
    await this.similarPacksRepository.lockRegister(tx);
    const candidates = await this.find(pack, tx);
    const open = candidates.filter(({ id }) => !differsFrom.includes(id)).slice(0, MAX_OFFERED);
    if (open.length === 0) return;
    throw new Problem(
      "similar-pack",
      "Use the one of `similarPacks` that it is. If it is none of them, send the same with their ids in `differsFrom`.",
      { extensions: { similarPacks: open } },
    );
  }

  /** Other packs of the record that one of them may be, the most similar ones. */
  async of({ id, ...pack }: RegisteredName): Promise<SimilarPack[]> {
    return (await this.find(pack)).filter((one) => one.id !== id).slice(0, MAX_OFFERED);
  }

  private async find(pack: Omit<RegisteredName, "id">, tx?: Transaction): Promise<SimilarPack[]> {
    return (await this.similarPacksRepository.find(pack, tx)).flatMap((one): SimilarPack[] => {
      const why = likeness(pack, one);
      return why ? [{ ...one, why }] : [];
    });
  }
}
