import { Injectable } from "@nestjs/common";
import type { Prisma, Specimen } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isDuplicate, isMissingReference } from "../../platform/database/errors.js";
import { isUuid } from "../../platform/database/uuid.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
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

@Injectable()
export class SpecimensRepository {
  constructor(private readonly database: Database) {}

  async create({ packId, label, cycles }: SpecimenInput, ownerId: string): Promise<SpecimenCreation> {
    if (!isUuid(packId)) return { packIsUnknown: true };
    try {
      return { specimen: await this.database.specimen.create({ data: { packId, label, cycles, ownerId } }) };
    } catch (error) {
      if (isMissingReference(error)) return { packIsUnknown: true };
      if (!isDuplicate(error)) throw error;
      const existing = await this.database.specimen.findFirst({ where: { ownerId, packId, label } });
      return { existingId: existing?.id ?? null };
    }
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
