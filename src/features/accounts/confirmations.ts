import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { hashOfToken } from "../../platform/auth/tokens.js";
import type { Transaction } from "../../platform/database/database.js";
import type { ProvenIdentity } from "../../platform/identity-provider/identity-provider.js";
import { GuessLimits } from "../../platform/limits/guess-limits.js";
import { Problem } from "../../platform/problems/problem.js";
import { AccountsRepository } from "./accounts.repository.js";
import type { Confirmation, SignInProofInput } from "./accounts.views.js";
import { passwordMatches } from "./passwords.js";
import { IdentitiesRepository } from "./sign-ins/identities.repository.js";
import { SignInsRepository } from "./sign-ins/sign-ins.repository.js";

/** Asks again who somebody is, where a session alone is not enough. */
@Injectable()
export class Confirmations {
  constructor(
    private readonly accountsRepository: AccountsRepository,
    private readonly identitiesRepository: IdentitiesRepository,
    private readonly signInsRepository: SignInsRepository,
    private readonly auditLog: AuditLog,
    private readonly guessLimits: GuessLimits,
  ) {}

  /**
   * The account's password, or a sign-in of its identity where it has none.
   *
   * @throws Problem `wrong-credentials`, `sign-in-code-required`, `too-many-requests`
   */
  require({ password, signIn }: Confirmation, caller: Caller): Promise<void> {
    return this.guessLimits.confirm(caller, async () => {
      const passwordHash = await this.accountsRepository.passwordHashOf(caller.id);
      if (passwordHash === null && signIn) await this.requireSignIn(signIn, caller);
      else await this.requirePassword(password ?? "", passwordHash);
    });
  }

  /** Who a client signed in, once. @throws Problem `sign-in-code-required` */
  async take(tx: Transaction, { code, verifier }: SignInProofInput): Promise<ProvenIdentity> {
    const challenge = createHash("sha256").update(verifier).digest();
    const identity = await this.signInsRepository.take(tx, hashOfToken(code), challenge);
    if (identity) return identity;
    throw new Problem(
      "sign-in-code-required",
      "The code is invalid or has expired, or the verifier does not match its challenge.",
    );
  }

  private async requireSignIn(proof: SignInProofInput, caller: Caller): Promise<void> {
    const account = await this.auditLog.transaction(async (tx) =>
      this.identitiesRepository.accountOf(await this.take(tx, proof), tx),
    );
    if (account?.id !== caller.id) throw new Problem("wrong-credentials", "The sign-in is another person's.");
  }

  private async requirePassword(password: string, passwordHash: string | null): Promise<void> {
    if (!(await passwordMatches(passwordHash, password))) {
      throw new Problem("wrong-credentials", "Check the password.");
    }
  }
}
