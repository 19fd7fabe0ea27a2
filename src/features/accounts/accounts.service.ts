import { Injectable } from "@nestjs/common";
import type { Caller, Role } from "../../platform/auth/account.js";
import type { Client } from "../../platform/client/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { GuessLimits } from "../../platform/limits/guess-limits.js";
import { mapPage, type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { type Account, AccountsRepository, type DigestedHandle, type ListedAccount } from "./accounts.repository.js";
import type {
  AccountsArgs,
  AccountView,
  Confirmation,
  CredentialsInput,
  ErasureView,
  ListedAccountView,
  PasswordInput,
  RoleInput,
  TesterView,
} from "./accounts.views.js";
import { Confirmations } from "./confirmations.js";
import { weaknessOf } from "./password-rules.js";
import { hashPassword } from "./passwords.js";
import { isReserved } from "./reserved-handles.js";

/** Begins the handles of erased accounts. */
const ERASED = "erased-";

/** What erasing leaves, told to whoever asks for it. */
const REMAINS = [
  "Your runs with their logs, figures and decisions: others' comparisons rest on them. They show a pseudonym in place of your handle.",
  "The bytes of your logs as uploaded, since every figure is computed from them; their file names are erased.",
  "Packs that you registered: their makers and names are facts of the trade. Your specimens and benches stay without your labels.",
  "The audit log, with your account's id in place of a name. The text of every reason, answer and note that you wrote is erased; your decisions remain.",
  "Words that others wrote: where they tell who you are, an administrator can erase them one by one.",
];

@Injectable()
export class AccountsService {
  constructor(
    private readonly accountsRepository: AccountsRepository,
    private readonly guessLimits: GuessLimits,
    private readonly confirmations: Confirmations,
  ) {}

  async register(input: CredentialsInput, client: Client): Promise<AccountView> {
    await this.guessLimits.countRegistration(client);
    return this.create(input, "tester");
  }

  /**
   * @param before what must succeed in the same transaction
   * @throws Problem for a handle that is taken or a password that is easily guessed
   */
  async create(
    { handle, password }: CredentialsInput,
    role: Role,
    before?: (tx: Transaction) => Promise<void>,
  ): Promise<AccountView> {
    requireFree(handle);
    // Whoever holds the setup token may be called what they are.
    if (role !== "administrator") requireUnreserved(handle);
    await requireStrong(password, handle, "/password");
    const account = await this.accountsRepository.create(handle, await hashPassword(password), role, before);
    if (!account) throw handleTaken();
    return accountView(account);
  }

  /** What `createWithoutPassword` needs of a handle; taken before its transaction begins. */
  async digested(handle: string): Promise<DigestedHandle> {
    return { handle, digests: await this.accountsRepository.digestsOf(handle) };
  }

  /** A tester who signs in at the identity provider. Throws the database's fault when the handle is taken. */
  createWithoutPassword(tx: Transaction, chosen: DigestedHandle): Promise<Account> {
    requireFree(chosen.handle);
    requireUnreserved(chosen.handle);
    return this.accountsRepository.createIn(tx, chosen, null, "tester");
  }

  /** Some accounts as others see them. */
  async testersByIds(ids: readonly string[]): Promise<ReadonlyMap<string, TesterView>> {
    return new Map((await this.accountsRepository.testers(ids)).map((tester) => [tester.id, tester]));
  }

  /** Whether anyone has registered yet. */
  exist(): Promise<boolean> {
    return this.accountsRepository.any();
  }

  /** Gives an account another role; false when there is no such account. For operators, beside the APIs. */
  grantRole(handle: string, role: Role): Promise<boolean> {
    return this.accountsRepository.updateRole(handle, role);
  }

  /** Accounts in the order in which they registered, for administrators. */
  async list({ role, search, suspended, ...args }: AccountsArgs): Promise<Page<ListedAccountView>> {
    const filter = { role: role ?? null, search: search ?? null, isSuspended: suspended ?? null };
    const page = await readPage(args, {
      name: "accounts",
      filters: filter,
      keys: ["uuid"],
      read: (window) => this.accountsRepository.list(filter, window),
      count: () => this.accountsRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, listedView);
  }

  /** An administrator gives another account, named by handle or id, a role. */
  async setRole(handleOrId: string, { role, reason }: RoleInput, caller: Caller): Promise<AccountView> {
    const accountId = await this.accountsRepository.idOf(handleOrId);
    if (!accountId) throw notFound("account");
    if (accountId === caller.id) throw new Problem("role-required", "Nobody changes their own role.");
    const account = await this.accountsRepository.setRole(accountId, role, caller.id, reason);
    if (!account) throw notFound("account");
    return accountView(account);
  }

  /** Sets another password and ends every other session. */
  async setPassword({ newPassword, ...confirmation }: PasswordInput, caller: Caller): Promise<void> {
    await requireStrong(newPassword, caller.handle, "/newPassword");
    await this.confirmations.require(confirmation, caller);
    await this.accountsRepository.setPassword(caller.id, await hashPassword(newPassword), caller.credentialId);
  }

  /** Erases the account's personal data for good, and says what remains. */
  async erase(confirmation: Confirmation, caller: Caller): Promise<ErasureView> {
    await this.confirmations.require(confirmation, caller);
    const handle = `${ERASED}${caller.id.slice(-12)}`;
    await this.accountsRepository.erase(caller.id, handle);
    return { id: caller.id, handle, remains: REMAINS };
  }
}

async function requireStrong(password: string, handle: string, pointer: string): Promise<void> {
  const message = await weaknessOf(password, handle);
  if (message) throw invalidInput([{ pointer, message }]);
}

/** What erased accounts are called is given to nobody. */
function requireFree(handle: string): void {
  if (handle.toLowerCase().startsWith(ERASED)) throw handleTaken();
}

/** Handles that speak for the service are given to nobody who merely registers. */
function requireUnreserved(handle: string): void {
  if (isReserved(handle))
    throw invalidInput([{ pointer: "/handle", message: "is reserved, or looks like a reserved handle" }]);
}

function handleTaken(): Problem {
  return new Problem("already-exists", "Choose another handle.", {
    errors: [{ pointer: "/handle", message: "is taken, or looks like one that is" }],
  });
}

export function accountView({ id, handle, role }: Pick<Account, "id" | "handle" | "role">): AccountView {
  return { id, handle, role: role as Role };
}

function listedView({ createdAt, suspendedAt, _count, ...account }: ListedAccount): ListedAccountView {
  const [since, suspended] = [createdAt.toISOString(), suspendedAt?.toISOString() ?? null];
  return { ...accountView(account), createdAt: since, suspendedAt: suspended, runs: _count.runs };
}
