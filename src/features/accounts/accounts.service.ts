import { createHash, randomBytes } from "node:crypto";
import { Inject, Injectable } from "@nestjs/common";
import type { Account } from "../../generated/prisma/client.js";
import type { Caller, Role, SessionReader } from "../../platform/auth/account.js";
import { CONFIG, type Config } from "../../platform/config/config.js";
import { Problem } from "../../platform/problems/problem.js";
import { AccountsRepository } from "./accounts.repository.js";
import type { AccountView, CredentialsInput, SessionView } from "./accounts.views.js";
import { hashPassword, passwordMatches } from "./passwords.js";

@Injectable()
export class AccountsService implements SessionReader {
  constructor(
    private readonly accounts: AccountsRepository,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async register({ handle, password }: CredentialsInput): Promise<AccountView> {
    const account = await this.accounts.create(handle, await hashPassword(password));
    if (account) return view(account);
    throw new Problem("already-exists", "Choose another handle.", {
      errors: [{ pointer: "/handle", message: "is taken" }],
    });
  }

  /** Whether anyone has registered yet. */
  exist(): Promise<boolean> {
    return this.accounts.any();
  }

  /** Gives an account another role; false when there is no such account. For operators, beside the APIs. */
  grantRole(handle: string, role: Role): Promise<boolean> {
    return this.accounts.updateRole(handle, role);
  }

  /** An unknown handle and a wrong password are told apart neither by the answer nor by its time. */
  async openSession({ handle, password }: CredentialsInput): Promise<SessionView> {
    const account = await this.accounts.findByHandle(handle);
    if (!(await passwordMatches(account?.passwordHash ?? null, password)) || !account) {
      throw new Problem("wrong-credentials", "Check the handle and the password.");
    }
    const token = randomBytes(32).toString("base64url");
    const expiresAt = new Date(Date.now() + this.config.sessionHours * 3_600_000);
    await this.accounts.createSession(account.id, hashToken(token), expiresAt);
    return { token, expiresAt: expiresAt.toISOString() };
  }

  async callerOf(token: string): Promise<Caller | null> {
    const account = await this.accounts.findByToken(hashToken(token));
    return account && view(account);
  }
}

function hashToken(token: string): Buffer<ArrayBuffer> {
  return createHash("sha256").update(token).digest();
}

function view({ id, handle, role }: Account): AccountView {
  return { id, handle, role: role as Role };
}
