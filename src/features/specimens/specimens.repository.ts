import { Injectable } from "@nestjs/common";
import type { Prisma, Specimen } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { isUuid } from "../../platform/database/rows/uuid.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import { addJobs } from "../../platform/queue/add-job.js";
import type { SpecimenInput } from "./specimens.views.js";

const WITH_PACK_AND_OWNER = {
  pack: true,
  owner: { select: { id: true, handle: true } },
} satisfies Prisma.SpecimenInclude;

/** A specimen with its pack and its owner. */
export type SpecimenOfPack = Prisma.SpecimenGetPayload<{ include: typeof WITH_PACK_AND_OWNER }>;

export type SpecimenCreation =
  | { readonly specimen: Specimen }
  | { readonly existingId: string | null }
  | { readonly packIsUnknown: true };

/** The task that holds the mass that is registered of a pack against what reference testers weighed; its payload names the pack. */
export const WEIGH_PACK = "weigh-pack";

const CORRECTED = ["label", "cycles", "massGrams"] as const;

/** What is to be registered otherwise; what is undefined stays. */
export type SpecimenChanges = Partial<Pick<Specimen, (typeof CORRECTED)[number]>>;

@Injectable()
export class SpecimensRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
  ) {}

  async create({ packId, label, cycles, massGrams = null }: SpecimenInput, ownerId: string): Promise<SpecimenCreation> {
    if (!isUuid(packId)) return { packIsUnknown: true };
    try {
      return await this.database.$transaction(async (tx) => {
        const id = await this.holdPack(tx, packId);
        if (id === null) return { packIsUnknown: true };
        return { specimen: await tx.specimen.create({ data: { packId: id, label, cycles, massGrams, ownerId } }) };
      });
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const pack = { OR: [{ id: packId }, { merged: { some: { id: packId } } }] };
      const existing = await this.database.specimen.findFirst({ where: { ownerId, pack, label } });
      return { existingId: existing?.id ?? null };
    }
  }

  /** Somebody's own specimen with what changes of it; null when there is none. */
  async correct(
    id: string,
    changes: SpecimenChanges,
    { caller, reason }: { readonly caller: Caller; readonly reason: string | null },
  ): Promise<{ specimen: Specimen } | { existingId: string | null } | null> {
    try {
      return await this.auditLog.transaction(async (tx) => {
        await tx.$queryRaw`SELECT FROM specimen WHERE id = ${id}::uuid FOR NO KEY UPDATE`;
        const before = await tx.specimen.findFirst({ where: { id, ownerId: caller.id } });
        if (!before) return null;
        const members = CORRECTED.filter(
          (member) => changes[member] !== undefined && changes[member] !== before[member],
        );
        if (members.length === 0) return { specimen: before };
        const data = Object.fromEntries(members.map((member) => [member, changes[member]]));
        const was = Object.fromEntries(members.map((member) => [member, before[member]]));
        const texts = { from: JSON.stringify(was), to: JSON.stringify(data) };
        const subject = { kind: "specimen", id } as const;
        this.auditLog.record(tx, { actorId: caller.id, event: "correct", subject, ...texts, reason });
        const plain = "label" in data ? { plainLabel: null } : {};
        const specimen = await tx.specimen.update({ where: { id }, data: { ...data, ...plain } });
        if (members.includes("massGrams")) {
          const { packId } = specimen;
          await addJobs(tx, WEIGH_PACK, [{ payload: { packId }, key: `${WEIGH_PACK}:${packId}` }], "background");
        }
        return { specimen };
      });
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const specimen = { ownerId: caller.id, label: changes.label as string };
      const where = { ...specimen, pack: { specimens: { some: { id } } } };
      return { existingId: (await this.database.specimen.findFirst({ where }))?.id ?? null };
    }
  }

  /** The pack itself, or the one that it was merged into; that one is not merged until the transaction ends. */
  private async holdPack(tx: Transaction, id: string): Promise<string | null> {
    for (;;) {
      const [pack] = await tx.$queryRaw<{ id: string }[]>`
        SELECT coalesce(merged_into_id, id)::text AS id FROM pack WHERE id = ${id}::uuid`;
      if (!pack) return null;
      const held = await tx.$queryRaw<object[]>`
        SELECT FROM pack WHERE id = ${pack.id}::uuid AND merged_into_id IS NULL FOR SHARE`;
      if (held.length > 0) return pack.id;
    }
  }

  ofRun(runId: string): Promise<Specimen> {
    return this.database.specimen.findFirstOrThrow({ where: { runs: { some: { id: runId } } } });
  }

  async findOwn(id: string, ownerId: string): Promise<Specimen | null> {
    return this.database.specimen.findFirst({ where: { id, ownerId } });
  }

  async findAll(ids: readonly string[]): Promise<Specimen[]> {
    return this.database.specimen.findMany({ where: { id: { in: [...ids] } } });
  }

  async find(id: string): Promise<SpecimenOfPack | null> {
    return this.database.specimen.findUnique({ where: { id }, include: WITH_PACK_AND_OWNER });
  }

  /** In the order in which they were registered. */
  async listOwn(ownerId: string, window: Window): Promise<Specimen[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.specimen.findMany({ where: { ownerId, ...where }, ...page });
  }

  async countOwn(ownerId: string): Promise<number> {
    return this.database.specimen.count({ where: { ownerId } });
  }
}
