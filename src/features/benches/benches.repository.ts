import { Injectable } from "@nestjs/common";
import type { Bench } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import type { BenchInput } from "./benches.views.js";

export type BenchCreation = { readonly bench: Bench } | { readonly existingId: string | null };

@Injectable()
export class BenchesRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
  ) {}

  async create(input: BenchInput, ownerId: string): Promise<BenchCreation> {
    try {
      return { bench: await this.database.bench.create({ data: { ownerId, ...columnsOf(input) } }) };
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const existing = await this.database.bench.findFirst({
        where: { ownerId, label: input.label, replacedById: null },
      });
      return { existingId: existing?.id ?? null };
    }
  }

  /**
   * States somebody's own bench otherwise: in its place while no run was measured on it, or else as the next version, to which
   * all versions before lead.
   *
   * @param restate what it is stated to be, from what it was
   * @returns null when there is none
   */
  async correct(
    id: string,
    by: { readonly caller: Caller; readonly reason: string | null },
    restate: (before: Bench) => BenchInput,
  ): Promise<BenchCreation | { readonly replacedById: string } | null> {
    const ownerId = by.caller.id;
    let label = "";
    try {
      return await this.auditLog.transaction(async (tx) => {
        // Nobody files a run on it meanwhile.
        await tx.$queryRaw`SELECT FROM bench WHERE id = ${id}::uuid FOR UPDATE`;
        const before = await tx.bench.findFirst({ where: { id, ownerId } });
        if (!before) return null;
        if (before.replacedById !== null) return { replacedById: before.replacedById };
        const next = columnsOf(restate(before));
        label = next.label;
        const members = (Object.keys(next) as (keyof typeof next)[]).filter((one) => next[one] !== before[one]);
        if (members.length === 0) return { bench: before };
        const isJudged = members.some((member) => member !== "label");
        const hasRuns = isJudged && (await tx.run.findFirst({ where: { benchId: id }, select: { id: true } })) !== null;
        const bench = hasRuns
          ? await this.nextVersion(tx, before, next)
          : await tx.bench.update({ where: { id }, data: next });
        const textOf = (of: Readonly<Record<keyof typeof next, unknown>>) =>
          JSON.stringify(Object.fromEntries(members.map((one) => [one, of[one]])));
        this.auditLog.record(tx, {
          actorId: ownerId,
          event: "correct",
          subject: { kind: "bench", id: bench.id },
          from: textOf(before),
          to: textOf(next),
          reason: by.reason,
        });
        return { bench };
      });
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const existing = await this.database.bench.findFirst({ where: { ownerId, label, replacedById: null } });
      return { existingId: existing?.id ?? null };
    }
  }

  private async nextVersion(tx: Transaction, before: Bench, next: ReturnType<typeof columnsOf>): Promise<Bench> {
    const { id, ownerId, version } = before;
    // As if it were replaced itself, until the label is free.
    const created = await tx.bench.create({ data: { ...next, ownerId, version: version + 1, replacedById: id } });
    const former = { OR: [{ id }, { replacedById: id }], NOT: { id: created.id } };
    await tx.bench.updateMany({ where: former, data: { replacedById: created.id } });
    return tx.bench.update({ where: { id: created.id }, data: { replacedById: null } });
  }

  async findAll(ids: readonly string[]): Promise<Bench[]> {
    return this.database.bench.findMany({ where: { id: { in: [...ids] } } });
  }

  async findOwn(id: string, ownerId: string): Promise<Bench | null> {
    return this.database.bench.findFirst({ where: { id, ownerId } });
  }

  /** In the order in which they were registered. */
  async listOwn(ownerId: string, window: Window): Promise<Bench[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.bench.findMany({ where: { ownerId, replacedById: null, ...where }, ...page });
  }

  async countOwn(ownerId: string): Promise<number> {
    return this.database.bench.count({ where: { ownerId, replacedById: null } });
  }
}

function columnsOf({ label, load, voltage, current, temperature, clockPercent, sense }: BenchInput) {
  return {
    label,
    loadKind: load.kind,
    voltagePercent: voltage.percent,
    voltageOffset: voltage.offset,
    currentPercent: current.percent,
    currentOffset: current.offset,
    temperatureOffset: temperature?.offset ?? null,
    clockPercent: clockPercent ?? null,
    sensePoint: sense.point,
    senseResistanceMilliohm: sense.resistanceMilliohm ?? null,
    senseGaugeAwg: sense.gaugeAwg ?? null,
    senseLengthMm: sense.lengthMm ?? null,
  };
}
