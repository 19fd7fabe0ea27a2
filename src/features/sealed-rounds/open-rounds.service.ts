import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import { Problem } from "../../platform/problems/problem.js";
import { OpenRoundsRepository } from "./open-rounds.repository.js";

/**
 * Keeps results of a pack unseen while its sealed round is open. Whoever asks has locked the packs, as the opening of a round does: what is
 * allowed here stays so until the transaction ends.
 */
@Injectable()
export class OpenRoundsService {
  constructor(private readonly openRoundsRepository: OpenRoundsRepository) {}

  /** When the round of a pack closes; null where none is open. */
  openUntil(tx: Transaction, packId: string): Promise<Date | null> {
    return this.openRoundsRepository.openUntil(tx, [packId]);
  }

  /**
   * @param what what is possible when no round is open, as "its runs are accepted"
   * @throws Problem decision-not-possible while a round of any of the packs is open
   */
  async requireNone(tx: Transaction, packIds: readonly string[], what: string): Promise<void> {
    const until = (await this.openRoundsRepository.openUntil(tx, packIds))?.toISOString();
    if (until === undefined) return;
    const message = `The pack is in a sealed round until ${until}, so that nobody sees a result: ${what} from then on.`;
    throw new Problem("decision-not-possible", message);
  }
}
