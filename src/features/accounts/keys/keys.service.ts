import { Injectable } from "@nestjs/common";
import type { ApiKey } from "../../../generated/prisma/client.js";
import type { Caller, Role, Scope } from "../../../platform/auth/account.js";
import { hashOfToken, KEY_PREFIX, newToken } from "../../../platform/auth/tokens.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../../platform/paging/page.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { type KeyInUse, KeysRepository } from "./keys.repository.js";
import type { KeyInput, KeyView, NewKeyView } from "./keys.views.js";

/** Most keys of an account. */
const MAX_KEYS = 20;

@Injectable()
export class KeysService {
  constructor(private readonly keysRepository: KeysRepository) {}

  /** Makes a key and shows it this once. */
  async create(input: KeyInput, caller: Caller): Promise<NewKeyView> {
    const key = `${KEY_PREFIX}${newToken()}`;
    const stored = await this.keysRepository.create(caller.id, input, hashOfToken(key), MAX_KEYS);
    if (!stored) throw new Problem("limit-reached", `An account may have ${MAX_KEYS} keys. Delete one first.`);
    return { ...keyView(stored), key };
  }

  async list(args: PageArgs, caller: Caller): Promise<Page<KeyView>> {
    const page = await readPage(args, {
      name: "keys",
      filters: { accountId: caller.id },
      keys: ["uuid"],
      read: (window) => this.keysRepository.list(caller.id, window),
      count: () => this.keysRepository.count(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, keyView);
  }

  async delete(id: string, caller: Caller): Promise<void> {
    if (!(await this.keysRepository.delete(idOf(id, "key"), caller.id))) throw notFound("key");
  }

  /** Who a key belongs to, with no more of a role than its scopes give. */
  async callerOf(key: string): Promise<Caller | null> {
    const stored = await this.keysRepository.use(hashOfToken(key));
    return stored && callerBy(stored);
  }

  /** Who has the key with this id now; null when it was deleted. */
  async again(id: string): Promise<Caller | null> {
    const stored = await this.keysRepository.standing(id);
    return stored && callerBy(stored);
  }
}

function callerBy({ id: credentialId, account, ...key }: KeyInUse): Caller {
  const scopes = key.scopes as Scope[];
  const isReviewer = account.role !== "tester" && scopes.includes("review");
  const role: Role = isReviewer ? "moderator" : "tester";
  const { id, handle, suspendedAt } = account;
  return { id, handle, role, scopes, credentialId, isSuspended: suspendedAt !== null };
}

function keyView({ id, label, scopes, createdAt, lastUsedAt }: ApiKey): KeyView {
  return {
    id,
    label,
    scopes: scopes as Scope[],
    createdAt: createdAt.toISOString(),
    lastUsedAt: lastUsedAt?.toISOString() ?? null,
  };
}
