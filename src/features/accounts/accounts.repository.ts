import { Injectable } from "@nestjs/common";
import type { Account } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/faults.js";
import { equalIgnoringCase } from "../../platform/database/patterns.js";

@Injectable()
export class AccountsRepository {
  constructor(private readonly database: Database) {}

  /** Null when the handle is taken. */
  async create(handle: string, passwordHash: string): Promise<Account | null> {
    try {
      return await this.database.account.create({ data: { handle, passwordHash } });
    } catch (error) {
      if (isDuplicate(error)) return null;
      throw error;
    }
  }

  async findByHandle(handle: string): Promise<Account | null> {
    return this.database.account.findFirst({ where: { handle: equalIgnoringCase(handle) } });
  }

  async any(): Promise<boolean> {
    return (await this.database.account.findFirst({ select: { id: true } })) !== null;
  }

  async updateRole(handle: string, role: string): Promise<boolean> {
    const { count } = await this.database.account.updateMany({
      where: { handle: equalIgnoringCase(handle) },
      data: { role },
    });
    return count > 0;
  }

  async createSession(accountId: string, tokenHash: Buffer<ArrayBuffer>, expiresAt: Date): Promise<void> {
    await this.database.session.deleteMany({ where: { accountId, expiresAt: { lt: new Date() } } });
    await this.database.session.create({ data: { accountId, tokenHash, expiresAt } });
  }

  async findByToken(tokenHash: Buffer<ArrayBuffer>): Promise<Account | null> {
    const session = await this.database.session.findUnique({ where: { tokenHash }, include: { account: true } });
    return session && session.expiresAt > new Date() ? session.account : null;
  }
}
