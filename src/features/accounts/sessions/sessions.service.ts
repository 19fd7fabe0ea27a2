import { Inject, Injectable } from "@nestjs/common";
import type { Caller, Role } from "../../../platform/auth/account.js";
import { hashOfToken, newToken } from "../../../platform/auth/tokens.js";
import type { Client } from "../../../platform/client/client.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { GuessLimits } from "../../../platform/limits/guess-limits.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../../platform/paging/page.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { AccountsRepository } from "../accounts.repository.js";
import type { CredentialsInput } from "../accounts.views.js";
import { passwordMatches } from "../passwords.js";
import { type SessionInUse, SessionsRepository } from "./sessions.repository.js";
import type { OpenSessionView, SessionView } from "./sessions.views.js";

@Injectable()
export class SessionsService {
  constructor(
    private readonly accountsRepository: AccountsRepository,
    private readonly sessionsRepository: SessionsRepository,
    private readonly guessLimits: GuessLimits,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** An unknown handle and a wrong password are told apart neither by the answer nor by its time. */
  async open({ handle, password }: CredentialsInput, client: Client): Promise<SessionView> {
    const accountId = await this.guessLimits.login(handle, client, async () => {
      const credentials = await this.accountsRepository.credentialsOf(handle);
      if (!(await passwordMatches(credentials?.passwordHash ?? null, password)) || !credentials) {
        throw new Problem("wrong-credentials", "Check the handle and the password.");
      }
      return credentials.id;
    });
    return this.openFor(accountId);
  }

  /** Opens a session for who has shown who they are. */
  async openFor(accountId: string): Promise<SessionView> {
    const token = newToken();
    const expiresAt = new Date(Date.now() + this.config.sessionHours * 3_600_000);
    await this.sessionsRepository.create(accountId, hashOfToken(token), expiresAt);
    return { token, expiresAt: expiresAt.toISOString() };
  }

  async callerOf(token: string): Promise<Caller | null> {
    const session = await this.sessionsRepository.use(hashOfToken(token));
    return session && callerBy(session);
  }

  /** Who has the session with this id now; null when it has ended. */
  async again(id: string): Promise<Caller | null> {
    const session = await this.sessionsRepository.standing(id);
    return session && callerBy(session);
  }

  async list(args: PageArgs, caller: Caller): Promise<Page<OpenSessionView>> {
    const page = await readPage(args, {
      name: "sessions",
      filters: { accountId: caller.id },
      keys: ["uuid"],
      read: (window) => this.sessionsRepository.list(caller.id, window),
      count: () => this.sessionsRepository.count(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, ({ id, createdAt, lastUsedAt, expiresAt }) => ({
      id,
      createdAt: createdAt.toISOString(),
      lastUsedAt: lastUsedAt.toISOString(),
      expiresAt: expiresAt.toISOString(),
      current: id === caller.credentialId,
    }));
  }

  async end(id: string, caller: Caller): Promise<void> {
    if (!(await this.sessionsRepository.end(idOf(id, "session"), caller.id))) throw notFound("session");
  }
}

function callerBy({ id, accountId, handle, role, suspendedAt }: SessionInUse): Caller {
  return {
    id: accountId,
    handle,
    role: role as Role,
    scopes: null,
    credentialId: id,
    isSuspended: suspendedAt !== null,
  };
}
