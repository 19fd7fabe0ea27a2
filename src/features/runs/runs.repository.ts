import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import { ALL_PARTS, type WantedParts } from "./evaluation/evaluation-parts.repository.js";
import { parametersOf, RUN_ROW, RUN_ROWS, type RunJson, type RunRow, runRow } from "./run-rows.js";

export type { RunRow } from "./run-rows.js";

/** Reads runs to show them. */
@Injectable()
export class RunsRepository {
  constructor(private readonly database: Database) {}

  async find(id: string, wanted: WantedParts = ALL_PARTS): Promise<RunRow | null> {
    return (await this.findMany([id], wanted))[0] ?? null;
  }

  async findMany(ids: readonly string[], wanted: WantedParts): Promise<RunRow[]> {
    if (ids.length === 0) return [];
    const [id] = ids;
    const found =
      ids.length === 1 && id !== undefined
        ? await this.database.prepared<RunJson>("run-row", RUN_ROW, parametersOf(id, wanted))
        : await this.database.prepared<RunJson>("run-rows", RUN_ROWS, parametersOf(ids, wanted));
    return found.map(runRow);
  }

  /** Ids of runs in a review state that are not one's own, oldest first. */
  listForReview(review: string, notBy: string, window: Window): Promise<{ id: string }[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.run.findMany({
      where: { ...reviewable(review, notBy), ...where },
      ...page,
      select: { id: true },
    });
  }

  countForReview(review: string, notBy: string): Promise<number> {
    return this.database.run.count({ where: reviewable(review, notBy) });
  }

  async nearestAccepted(
    packId: string,
    protocolKey: string,
    figure: string,
    { load, value }: { readonly load: number; readonly value: number },
  ): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN figure ON figure.evaluation_id = run.current_evaluation_id
      WHERE specimen.pack_id = ${packId}::uuid AND run.review_state = 'accepted' AND run.protocol_key = ${protocolKey}
        AND figure.key = ${figure} AND figure.basis = 'translated' AND figure.load = ${load}::float8
      ORDER BY abs(figure.value - ${value}::float8), run.id LIMIT 1`;
    return rows[0]?.id ?? null;
  }
}

function reviewable(review: string, notBy: string): Prisma.RunWhereInput {
  return { review, testerId: { not: notBy }, state: { in: ["processed", "failed"] } };
}
