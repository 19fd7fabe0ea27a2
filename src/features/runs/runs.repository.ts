import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import {
  ALL_PARTS,
  type EvaluationParts,
  EvaluationPartsRepository,
  type WantedParts,
} from "./evaluation/evaluation-parts.repository.js";

const WITH_SUMMARY = {
  specimen: { include: { pack: true } },
  bench: true,
  tester: { select: { id: true, handle: true } },
  log: { select: { sha256: true, bytes: true, removal: true } },
  currentEvaluation: true,
} satisfies Prisma.RunInclude;

/** A run with one row of each thing that it belongs to. */
type RunSummary = Prisma.RunGetPayload<{ include: typeof WITH_SUMMARY }>;
type EvaluationRow = NonNullable<RunSummary["currentEvaluation"]> & EvaluationParts;

/** A run with what its view shows. */
export type RunRow = Omit<RunSummary, "currentEvaluation"> & { readonly currentEvaluation: EvaluationRow | null };

/** Reads runs to show them. */
@Injectable()
export class RunsRepository {
  constructor(
    private readonly database: Database,
    private readonly evaluationPartsRepository: EvaluationPartsRepository,
  ) {}

  async find(id: string, wanted: WantedParts = ALL_PARTS): Promise<RunRow | null> {
    return (await this.findMany([id], wanted))[0] ?? null;
  }

  async findMany(ids: readonly string[], wanted: WantedParts): Promise<RunRow[]> {
    return this.read({ where: { id: { in: [...ids] } } }, wanted);
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

  private async read(
    query: Pick<Prisma.RunFindManyArgs, "where" | "orderBy" | "take">,
    wanted: WantedParts,
  ): Promise<RunRow[]> {
    const runs = await this.database.run.findMany({ ...query, include: WITH_SUMMARY });
    const ids = runs.flatMap(({ currentEvaluationId }) => currentEvaluationId ?? []);
    const partsOf = await this.evaluationPartsRepository.of(ids, wanted);
    return runs.map(({ currentEvaluation: evaluation, ...run }) => ({
      ...run,
      currentEvaluation: evaluation && { ...evaluation, ...partsOf(evaluation.id) },
    }));
  }
}

function reviewable(review: string, notBy: string): Prisma.RunWhereInput {
  return { review, testerId: { not: notBy }, state: { in: ["processed", "failed"] } };
}
