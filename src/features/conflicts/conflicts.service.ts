import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { Problem } from "../../platform/problems/problem.js";
import { ConflictsRepository, type Touched } from "./conflicts.repository.js";

export { classesOfRun } from "./run-classes.js";

/**
 * Keeps moderators from what bears on places in a class in which they test themselves. Every act of a moderator that does passes here, but a
 * decision on a run, which is a proposal then.
 */
@Injectable()
export class ConflictsService {
  constructor(private readonly conflictsRepository: ConflictsRepository) {}

  /**
   * An administrator with a stake acts where nobody without one is left.
   *
   * @throws Problem role-required for whoever has ever uploaded a run in a class that is touched
   */
  async requireNoStake(tx: Transaction, caller: Caller, touched: Touched): Promise<void> {
    if (!(await this.hasStake(tx, caller, touched))) return;
    const isLast =
      caller.role === "administrator" && (await this.conflictsRepository.nobodyIsFree(tx, caller.id, touched));
    if (!isLast) throw hasStake();
  }

  /**
   * The same for what decides on values by itself: administrators with a stake do not stand in.
   *
   * @throws Problem role-required for whoever has ever uploaded a run in a class that is touched
   */
  async requireOutsider(tx: Transaction, caller: Caller, touched: Touched): Promise<void> {
    if (await this.hasStake(tx, caller, touched)) throw hasStake();
  }

  private hasStake(tx: Transaction, caller: Caller, touched: Touched): Promise<boolean> {
    return this.conflictsRepository.hasStake(tx, caller.id, touched);
  }
}

function hasStake(): Problem {
  return new Problem(
    "role-required",
    "You have uploaded runs in a class that this touches: a moderator who has not must do it.",
  );
}
