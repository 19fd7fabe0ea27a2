import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";

/** Runs that are read together. */
const IDS_AT_ONCE = 50;

@Injectable()
export class ExportRepository {
  constructor(private readonly database: Database) {}

  /** What an account registered beside its runs, in the columns' own names. Secrets are not among them. */
  async registered(accountId: string): Promise<Readonly<Record<string, readonly object[]>>> {
    const [account, identities, addresses, webhooks, keys, packs, specimens, benches, maps] =
      await this.database.$transaction([
        this.database.account.findMany({
          where: { id: accountId },
          select: { id: true, handle: true, role: true, createdAt: true },
        }),
        this.database.identity.findMany({
          where: { accountId },
          select: { issuer: true, subject: true, createdAt: true },
        }),
        this.database.mailAddress.findMany({
          where: { accountId },
          select: { address: true, confirmedAt: true, createdAt: true },
        }),
        this.database.webhook.findMany({
          where: { accountId },
          orderBy: { id: "asc" },
          select: { id: true, url: true, kinds: true, createdAt: true, disabledAt: true },
        }),
        this.database.apiKey.findMany({
          where: { accountId },
          select: { id: true, label: true, scopes: true, createdAt: true, lastUsedAt: true },
        }),
        this.database.pack.findMany({ where: { createdById: accountId }, orderBy: { id: "asc" } }),
        this.database.specimen.findMany({ where: { ownerId: accountId }, orderBy: { id: "asc" } }),
        this.database.bench.findMany({ where: { ownerId: accountId }, orderBy: { id: "asc" } }),
        this.database.columnMap.findMany({
          where: { ownerId: accountId },
          orderBy: { id: "asc" },
          select: { id: true, label: true, header: true, columns: true, createdAt: true },
        }),
      ]);
    return {
      account,
      identities,
      "mail-address": addresses,
      webhooks,
      keys,
      packs,
      specimens,
      benches,
      "column-maps": maps,
    };
  }

  /** Ids of an account's runs in every state, oldest first. */
  async *runIds(accountId: string): AsyncGenerator<string> {
    for (let after: string | null = null; ; ) {
      const rows: { id: string }[] = await this.database.run.findMany({
        where: { testerId: accountId, ...(after === null ? {} : { id: { gt: after } }) },
        select: { id: true },
        orderBy: { id: "asc" },
        take: IDS_AT_ONCE,
      });
      for (const { id } of rows) yield id;
      if (rows.length < IDS_AT_ONCE) return;
      after = rows.at(-1)?.id ?? null;
    }
  }
}
