import { Injectable } from "@nestjs/common";
import type { Weighing } from "../../core/record/weighed-mass.js";
import type { Pack, Prisma } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Transaction } from "../../platform/database/database.js";
import { equalIgnoringCase } from "../../platform/database/rows/patterns.js";

/** What of an account decides on whether it may be suspended. */
export interface AccountToSuspend {
  readonly id: string;
  readonly handle: string;
  readonly role: string;
  readonly suspendedAt: Date | null;
}

/** An entry of the audit log about a pack or an account. */
export interface RegisterEvent {
  /** Null for what follows from the record by itself. */
  readonly actorId: string | null;
  readonly event: string;
  readonly from: string;
  readonly to: string;
  readonly reason: string | null;
}

/** What moderators say of packs and accounts, each with its entry in the audit log. */
@Injectable()
export class RegisterRepository {
  constructor(private readonly auditLog: AuditLog) {}

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.auditLog.transaction(work);
  }

  /** A pack, locked until the transaction ends. */
  async lockPack(tx: Transaction, id: string): Promise<Pack | null> {
    await tx.$queryRaw`SELECT FROM pack WHERE id = ${id}::uuid FOR NO KEY UPDATE`;
    return tx.pack.findUnique({ where: { id } });
  }

  updatePack(tx: Transaction, id: string, data: Prisma.PackUncheckedUpdateInput, event: RegisterEvent): Promise<Pack> {
    this.auditLog.record(tx, { ...event, subject: { kind: "pack", id } });
    return tx.pack.update({ where: { id }, data });
  }

  /** What testers weighed of a pack's specimens, of each that has an accepted run of theirs. */
  weighings(tx: Transaction, packId: string): Promise<Weighing[]> {
    return tx.$queryRaw<Weighing[]>`
      SELECT owner.id::text AS "testerId", specimen.mass_grams AS grams
      FROM specimen JOIN account AS owner ON owner.id = specimen.owner_id
      WHERE specimen.pack_id = ${packId}::uuid AND specimen.mass_grams IS NOT NULL AND owner.suspended_at IS NULL
        AND EXISTS (SELECT FROM run WHERE run.specimen_id = specimen.id AND run.tester_id = owner.id AND run.review_state = 'accepted')`;
  }

  async massOf(packId: string): Promise<number | null> {
    const [pack] = await this.transaction((tx) =>
      tx.pack.findMany({ where: { id: packId }, select: { massGrams: true } }),
    );
    return pack?.massGrams ?? null;
  }

  async hasAcceptedRun(tx: Transaction, packId: string): Promise<boolean> {
    const where = { specimen: { packId }, review: "accepted" };
    return (await tx.run.findFirst({ where, select: { id: true } })) !== null;
  }

  /** The specimens of a pack, locked so that none gets another run until the transaction ends. */
  async lockSpecimens(tx: Transaction, packId: string): Promise<void> {
    await tx.$queryRaw`SELECT FROM specimen WHERE pack_id = ${packId}::uuid ORDER BY id FOR UPDATE`;
  }

  /**
   * Makes the specimens of a pack those of another, and keeps which pack they are from; a label that its owner has there already is told apart by
   * the specimen's id, and kept as it was.
   */
  async moveSpecimens(tx: Transaction, packId: string, intoId: string): Promise<void> {
    await tx.$executeRaw`
      UPDATE specimen SET plain_label = label, label = left(label, 60) || ' (' || right(id::text, 12) || ')'
      WHERE pack_id = ${packId}::uuid AND EXISTS (SELECT FROM specimen AS other
        WHERE other.pack_id = ${intoId}::uuid AND other.owner_id = specimen.owner_id AND other.label = specimen.label)`;
    await tx.$executeRaw`
      UPDATE specimen SET pack_id = ${intoId}::uuid, merged_from_id = coalesce(merged_from_id, pack_id)
      WHERE pack_id = ${packId}::uuid`;
  }

  /** A pack and those that were merged into it, one after another. */
  async withMerged(tx: Transaction, packId: string): Promise<string[]> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      WITH RECURSIVE merged AS (
        SELECT ${packId}::uuid AS id
        UNION SELECT pack.id FROM pack JOIN merged ON pack.merged_directly_into_id = merged.id
      )
      SELECT id::text FROM merged`;
    return rows.map(({ id }) => id);
  }

  /**
   * Gives a pack back the specimens that are from it and from those merged into it, which lead to it again. In both packs a label that was told
   * apart is as it was where its owner has no other specimen with it any more; of several the pack's own one.
   */
  async returnSpecimens(tx: Transaction, packId: string, fromId: string): Promise<void> {
    const ids = await this.withMerged(tx, packId);
    await tx.$executeRaw`
      UPDATE specimen SET pack_id = ${packId}::uuid, merged_from_id = nullif(merged_from_id, ${packId}::uuid)
      WHERE pack_id = ${fromId}::uuid AND merged_from_id = ANY(${ids}::uuid[])`;
    await tx.pack.updateMany({ where: { id: { in: ids, not: packId } }, data: { mergedIntoId: packId } });
    await tx.$executeRaw`
      UPDATE specimen SET label = plain.plain_label, plain_label = NULL
      FROM (SELECT DISTINCT ON (pack_id, owner_id, plain_label) id, pack_id, owner_id, plain_label FROM specimen
        WHERE pack_id IN (${packId}::uuid, ${fromId}::uuid) AND plain_label IS NOT NULL
        ORDER BY pack_id, owner_id, plain_label, merged_from_id NULLS FIRST, id) AS plain
      WHERE specimen.id = plain.id AND NOT EXISTS (SELECT FROM specimen AS other
        WHERE other.pack_id = plain.pack_id AND other.owner_id = plain.owner_id AND other.label = plain.plain_label)`;
  }

  /** Packs that were merged into a pack lead to the one that it is merged into itself. */
  async leadOn(tx: Transaction, packId: string, intoId: string): Promise<void> {
    await tx.pack.updateMany({ where: { mergedIntoId: packId }, data: { mergedIntoId: intoId } });
  }

  /** An account, locked until the transaction ends; null when there is none, or it was erased. */
  async lockAccount(tx: Transaction, handle: string): Promise<AccountToSuspend | null> {
    const where = { handle: equalIgnoringCase(handle), erasedAt: null };
    const found = await tx.account.findFirst({ where, select: { id: true } });
    if (!found) return null;
    await tx.$queryRaw`SELECT FROM account WHERE id = ${found.id}::uuid FOR NO KEY UPDATE`;
    const select = { id: true, handle: true, role: true, suspendedAt: true } as const;
    return tx.account.findUnique({ where: { id: found.id }, select });
  }

  async setSuspended(tx: Transaction, id: string, suspendedAt: Date | null, event: RegisterEvent): Promise<void> {
    this.auditLog.record(tx, { ...event, subject: { kind: "account", id } });
    await tx.account.update({ where: { id }, data: { suspendedAt }, select: { id: true } });
  }

  /** Packs in whose standings an account's runs may count. */
  async packsOf(tx: Transaction, testerId: string): Promise<string[]> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT DISTINCT specimen.pack_id::text AS id FROM run JOIN specimen ON specimen.id = run.specimen_id
      WHERE run.tester_id = ${testerId}::uuid AND run.review_state = 'accepted'`;
    return rows.map(({ id }) => id);
  }
}
