import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";

const WITH_FACTS = {
  specimen: { select: { packId: true } },
  log: { select: { sha256: true, bytes: true, removal: true } },
  currentEvaluation: true,
} satisfies Prisma.RunInclude;

export type RunNodeRow = Prisma.RunGetPayload<{ include: typeof WITH_FACTS }>;

/** Reads runs without what they belong to and without the many rows of their evaluations. */
@Injectable()
export class RunNodesRepository {
  constructor(private readonly database: Database) {}

  findMany(ids: readonly string[]): Promise<RunNodeRow[]> {
    return this.database.run.findMany({ where: { id: { in: [...ids] } }, include: WITH_FACTS });
  }
}
