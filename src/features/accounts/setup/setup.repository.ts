import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";

@Injectable()
export class SetupRepository {
  constructor(private readonly database: Database) {}

  async hasAdministrator(): Promise<boolean> {
    return (await this.database.account.findFirst({ where: { role: "administrator" }, select: { id: true } })) !== null;
  }

  /** Puts a token in place of the one before. */
  async put(tokenHash: Buffer<ArrayBuffer>, expiresAt: Date): Promise<void> {
    const token = { tokenHash, expiresAt };
    await this.database.setupToken.upsert({ where: { id: 1 }, create: { id: 1, ...token }, update: token });
  }

  async stands(tokenHash: Buffer<ArrayBuffer>): Promise<boolean> {
    return (await this.database.setupToken.count({ where: { tokenHash, expiresAt: { gt: new Date() } } })) > 0;
  }

  /** Whether the token was the one that stood; then it stands no more. */
  async take(tx: Transaction, tokenHash: Buffer<ArrayBuffer>): Promise<boolean> {
    const { count } = await tx.setupToken.deleteMany({ where: { tokenHash, expiresAt: { gt: new Date() } } });
    return count > 0;
  }
}
