import { Injectable } from "@nestjs/common";
import type { Adjustment, Figure, Finding } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";

/** Which of the many rows of an evaluation are wanted. */
export interface WantedParts {
  readonly figures: boolean;
  readonly findings: boolean;
  readonly adjustments: boolean;
}

export const ALL_PARTS: WantedParts = { figures: true, findings: true, adjustments: true };

/** The rows of an evaluation; empty where they were not wanted. */
export interface EvaluationParts {
  readonly figures: readonly Figure[];
  readonly findings: readonly Finding[];
  readonly adjustments: readonly Adjustment[];
}

/** Reads the many rows of evaluations, for all of a list at once. */
@Injectable()
export class EvaluationPartsRepository {
  constructor(private readonly database: Database) {}

  /** The wanted parts of some evaluations, by id. */
  async of(ids: readonly string[], wanted: WantedParts): Promise<(id: string) => EvaluationParts> {
    const where = { evaluationId: { in: [...ids] } };
    const orderBy = { position: "asc" } as const;
    const { figure, finding, adjustment } = this.database;
    const [figures, findings, adjustments] = await Promise.all([
      wanted.figures ? figure.findMany({ where }) : [],
      wanted.findings ? finding.findMany({ where, orderBy }) : [],
      wanted.adjustments ? adjustment.findMany({ where, orderBy }) : [],
    ]);
    const ofEach = [byEvaluation(figures), byEvaluation(findings), byEvaluation(adjustments)] as const;
    return (id) => ({
      figures: ofEach[0].get(id) ?? [],
      findings: ofEach[1].get(id) ?? [],
      adjustments: ofEach[2].get(id) ?? [],
    });
  }
}

function byEvaluation<T extends { readonly evaluationId: string }>(rows: readonly T[]): Map<string, T[]> {
  return Map.groupBy(rows, ({ evaluationId }) => evaluationId);
}
