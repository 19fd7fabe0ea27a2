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
   * The digest of a handle, whatever its case. It takes some 50 ms on purpose: handles are short, and could be guessed. It may wait for
   * others' hashes, so no transaction is open meanwhile.
   */
  async digestOf(handle: string): Promise<Buffer<ArrayBuffer>> {
    const { salt } = await this.database.erasedHandleSalt.findUniqueOrThrow({ where: { id: 1 } });
    return slowHashes.run(() => derive(handle.toLowerCase(), salt, 32));
  }

  async add(tx: Transaction, digest: Buffer<ArrayBuffer>): Promise<void> {
    await tx.erasedHandle.createMany({ data: [{ digest }], skipDuplicates: true });
  }

  /**
   * Asked after the account was inserted: the index on handles has then waited for an erasure that was under way.
   *
   * @throws HandleErased
   */
  async requireNotErased(tx: Transaction, digest: Buffer<ArrayBuffer>): Promise<void> {
    if (await tx.erasedHandle.findUnique({ where: { digest } })) throw new HandleErased();
  }
}
