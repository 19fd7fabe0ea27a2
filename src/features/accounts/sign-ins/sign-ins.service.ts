import { Injectable } from "@nestjs/common";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { Caller } from "../../../platform/auth/account.js";
import { hashOfToken, newToken } from "../../../platform/auth/tokens.js";
import type { Client } from "../../../platform/client/client.js";
import { isDuplicate } from "../../../platform/database/errors.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { type BrowserBinding, isOwnPath, newBinding } from "../../../platform/identity-provider/browser-binding.js";
import { IdentityProvider } from "../../../platform/identity-provider/identity-provider.js";
import { GuessLimits } from "../../../platform/limits/guess-limits.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../../platform/paging/page.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { AccountsService } from "../accounts.service.js";
import type { SignInProofInput } from "../accounts.views.js";
import { Confirmations } from "../confirmations.js";
import { HandleErased } from "../erased-handles.repository.js";
import { SessionsService } from "../sessions/sessions.service.js";
import type { SessionView } from "../sessions/sessions.views.js";
import { IdentitiesRepository } from "./identities.repository.js";
import { SignInsRepository } from "./sign-ins.repository.js";
import type { IdentityInput, IdentityView, SignInCodeView, SignInInput, SignInStart } from "./sign-ins.views.js";

/** How long a client may take to fetch its session. */
const CODE_MINUTES = 5;

/** A sign-in that has begun: where the browser goes, and what it keeps until it is back. */
export interface BegunSignIn {
  readonly address: string;
  readonly binding: BrowserBinding;
}

/**
 * Signs in through the identity provider. Three hold a part each: the browser the binding, the client the verifier, and
 * the person the code; a session needs that all three belong together, so that nobody can be led into somebody
 * else's sign-in, nor the other way round.
 */
@Injectable()
export class SignInsService {
  constructor(
    private readonly identityProvider: IdentityProvider,
    private readonly signInsRepository: SignInsRepository,
    private readonly identitiesRepository: IdentitiesRepository,
    private readonly accountsService: AccountsService,
    private readonly confirmations: Confirmations,
    private readonly sessionsService: SessionsService,
    private readonly auditLog: AuditLog,
    private readonly guessLimits: GuessLimits,
  ) {}

  async begin({ challenge, returnTo = null }: SignInStart): Promise<BegunSignIn> {
    if (returnTo !== null && !isOwnPath(returnTo)) {
      throw invalidInput([{ pointer: "/returnTo", message: "must be a path of this service, without a fragment" }]);
    }
    const binding = newBinding(challenge, returnTo);
    return { address: await this.identityProvider.address(binding), binding };
  }

  /** What the provider's answer is worth to the client: a code, for minutes. */
  async finish(query: string, binding: BrowserBinding | null): Promise<SignInCodeView> {
    const { redirectUrl } = this.identityProvider.settings();
    if (!binding) {
      const detail = "This browser has begun no sign-in, or more than ten minutes ago. Begin again.";
      throw new Problem("sign-in-failed", detail);
    }
    const identity = await this.identityProvider.whoSignedIn(query, binding);
    const code = newToken();
    const expiresAt = new Date(Date.now() + CODE_MINUTES * 60_000);
    await this.signInsRepository.keep(
      hashOfToken(code),
      Buffer.from(binding.challenge, "base64url"),
      identity,
      expiresAt,
    );
    const next = `Give the code to the program in which you began to sign in at ${redirectUrl.origin}, and to nobody else.`;
    return { code, expiresAt: expiresAt.toISOString(), next };
  }

  /** Opens a session for who signed in; who does so for the first time gets an account under a handle of their choice. */
  async open({ handle = null, ...proof }: SignInInput, client: Client): Promise<SessionView> {
    this.identityProvider.settings();
    if (handle !== null) await this.guessLimits.countRegistration(client);
    const accountId = await this.guessLimits.redeem(client, () => this.accountOf(proof, handle));
    return this.sessionsService.openFor(accountId);
  }

  /** The account of who signed in, made under a handle where there is none. */
  private async accountOf(proof: SignInProofInput, handle: string | null): Promise<string> {
    const chosen = handle === null ? null : await this.accountsService.digested(handle);
    return this.auditLog
      .transaction(async (tx) => {
        const identity = await this.confirmations.take(tx, proof);
        const account = await this.identitiesRepository.accountOf(identity, tx);
        if (account) return account.id;
        if (chosen === null) {
          const errors = [{ pointer: "/handle", message: "is needed for a new account" }];
          throw new Problem("handle-required", "Nobody has signed in so before. Choose a handle.", { errors });
        }
        const created = await this.accountsService.createWithoutPassword(tx, chosen);
        await this.identitiesRepository.link(tx, created.id, identity);
        return created.id;
      })
      .catch(toldAsTaken);
  }

  /** Links an account to who signed in: a way in for good, for which a session alone is not enough. */
  async link({ password = null, signIn = null, ...proof }: IdentityInput, caller: Caller): Promise<IdentityView> {
    this.identityProvider.settings();
    await this.confirmations.require({ password, signIn }, caller);
    const identity = await this.guessLimits.confirm(caller, () =>
      this.auditLog
        .transaction(async (tx) =>
          this.identitiesRepository.link(tx, caller.id, await this.confirmations.take(tx, proof)),
        )
        .catch(toldAsTaken),
    );
    if (!identity) throw new Problem("invalid-session", "The account was erased.");
    return identityView(identity);
  }

  async unlink(id: string, caller: Caller): Promise<void> {
    const done = await this.identitiesRepository.unlink(idOf(id, "identity"), caller.id);
    if (done === null) throw notFound("identity");
    if (done === "last") {
      throw new Problem("limit-reached", "It is the only way into your account. Set a password first.");
    }
  }

  async list(args: PageArgs, caller: Caller): Promise<Page<IdentityView>> {
    const page = await readPage(args, {
      name: "identities",
      filters: { accountId: caller.id },
      keys: ["uuid"],
      read: (window) => this.identitiesRepository.list(caller.id, window),
      count: () => this.identitiesRepository.count(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, identityView);
  }
}

function identityView({ id, issuer, createdAt }: { id: string; issuer: string; createdAt: Date }): IdentityView {
  return { id, issuer, createdAt: createdAt.toISOString() };
}

/** The database holds a handle, and an identity, once. */
function toldAsTaken(error: unknown): never {
  if (!isDuplicate(error) && !(error instanceof HandleErased)) throw error;
  throw new Problem(
    "already-exists",
    "The handle is taken or looks like one that is, or an account has this identity already.",
    {
      errors: [{ pointer: "/handle", message: "is taken, looks like one that is, or is not needed" }],
    },
  );
}
