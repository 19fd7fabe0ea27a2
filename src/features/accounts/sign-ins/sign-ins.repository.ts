import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";
import type { ProvenIdentity } from "../../../platform/identity-provider/identity-provider.js";

/** Sign-ins that the provider has confirmed and that wait for their client. */
@Injectable()
export class SignInsRepository {
  constructor(private readonly database: Database) {}

  async keep(
    codeHash: Buffer<ArrayBuffer>,
    challenge: Buffer<ArrayBuffer>,
    identity: ProvenIdentity,
    expiresAt: Date,
  ): Promise<void> {
    await this.database.signIn.deleteMany({ where: { expiresAt: { lte: new Date() } } });
    await this.database.signIn.create({ data: { codeHash, challenge, ...identity, expiresAt } });
  }

  /** Who signed in, once: of two that ask at the same time one is told. Null when code and challenge do not belong together. */
  async take(
    tx: Transaction,
    codeHash: Buffer<ArrayBuffer>,
    challenge: Buffer<ArrayBuffer>,
  ): Promise<ProvenIdentity | null> {
    const [taken] = await tx.$queryRaw<ProvenIdentity[]>`
      DELETE FROM sign_in WHERE code_hash = ${codeHash} AND challenge = ${challenge} AND expires_at > now()
      RETURNING issuer, subject`;
    return taken ?? null;
  }
}
