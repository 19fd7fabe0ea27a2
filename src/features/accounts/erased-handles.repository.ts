import { scrypt } from "node:crypto";
import { promisify } from "node:util";
import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../platform/database/database.js";
import { slowHashes } from "./slow-hashes.js";

const derive = promisify(scrypt) as (text: string, salt: Uint8Array, length: number) => Promise<Buffer<ArrayBuffer>>;

/** A handle whose account was erased. */
export class HandleErased extends Error {}

/** Remembers the handles of erased accounts without keeping them: a slow, salted hash of each. */
@Injectable()
export class ErasedHandlesRepository {
  constructor(private readonly database: Database) {}

  /**
   * Digests of a handle: of what it looks like, and of itself whatever its case, which is all that earlier versions kept. Each takes some 50 ms on
   * purpose: handles are short, and could be guessed. They may wait for others' hashes, so no transaction is open meanwhile.
   */
  async digestsOf(handle: string): Promise<Buffer<ArrayBuffer>[]> {
    const { salt } = await this.database.erasedHandleSalt.findUniqueOrThrow({ where: { id: 1 } });
    const [seen] = await this.database.$queryRaw<{ skeleton: string }[]>`SELECT handle_skeleton(${handle}) AS skeleton`;
    const texts = new Set([seen?.skeleton ?? handle, handle.toLowerCase()]);
    return Promise.all([...texts].map((text) => slowHashes.run(() => derive(text, salt, 32))));
  }

  async add(tx: Transaction, digests: readonly Buffer<ArrayBuffer>[]): Promise<void> {
    await tx.erasedHandle.createMany({ data: digests.map((digest) => ({ digest })), skipDuplicates: true });
  }

  /**
   * Asked after the account was inserted: the index on handles has then waited for an erasure that was under way.
   *
   * @throws HandleErased
   */
  async requireNotErased(tx: Transaction, digests: readonly Buffer<ArrayBuffer>[]): Promise<void> {
    const erased = await tx.erasedHandle.findFirst({ where: { digest: { in: [...digests] } } });
    if (erased) throw new HandleErased();
  }
}
