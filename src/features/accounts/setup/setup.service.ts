import { Injectable } from "@nestjs/common";
import { hashOfToken, newToken } from "../../../platform/auth/tokens.js";
import type { Client } from "../../../platform/client/client.js";
import { GuessLimits } from "../../../platform/limits/guess-limits.js";
import { Problem } from "../../../platform/problems/problem.js";
import { AccountsService } from "../accounts.service.js";
import type { AccountView } from "../accounts.views.js";
import { SetupRepository } from "./setup.repository.js";
import type { SetupInput } from "./setup.views.js";

const VALID_HOURS = 24;

/** Lets the first administrator register: whoever can read what the service prints, or set its variables. */
@Injectable()
export class SetupService {
  constructor(
    private readonly setupRepository: SetupRepository,
    private readonly accountsService: AccountsService,
    private readonly guessLimits: GuessLimits,
  ) {}

  /**
   * A token for one registration within 24 h, in place of any before; null when there is an administrator.
   *
   * @param chosen a token that the operator has chosen, in place of a random one
   */
  async offer(chosen: string | null): Promise<string | null> {
    if (await this.setupRepository.hasAdministrator()) return null;
    const token = chosen ?? newToken();
    await this.setupRepository.put(hashOfToken(token), new Date(Date.now() + VALID_HOURS * 3_600_000));
    return token;
  }

  /** Registers the first administrator; the token is spent by that, once. */
  async register({ token, ...credentials }: SetupInput, client: Client): Promise<AccountView> {
    const tokenHash = hashOfToken(token);
    // Looked at before the password is hashed, so that nobody makes the service work without a token.
    await this.guessLimits.redeem(client, async () => {
      if (!(await this.setupRepository.stands(tokenHash))) throw notStanding();
    });
    return this.accountsService.create(credentials, "administrator", async (tx) => {
      if (!(await this.setupRepository.take(tx, tokenHash))) throw notStanding();
    });
  }
}

function notStanding(): Problem {
  const detail =
    "The token is invalid or has expired. While there is no administrator, each start of the service prints another.";
  return new Problem("setup-token-required", detail);
}
