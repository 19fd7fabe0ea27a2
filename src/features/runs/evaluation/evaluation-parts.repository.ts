import { Injectable } from "@nestjs/common";
import { KEY_FIGURES } from "../../../core/figures/catalogue.js";
import { budgetName, decodeBudgets } from "../../../core/figures/stored-budgets.js";
import type { BudgetPart } from "../../../core/model.js";
import type { Adjustment, Figure, Finding } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";
import { withOthers } from "../../../platform/database/rows/finding-rows.js";

/** Which of the many rows of an evaluation are wanted. */
export interface WantedParts {
  readonly figures: boolean;
  readonly findings: boolean;
  readonly adjustments: boolean;
  /** The figures that tell most, without their budgets. */
  readonly keyFigures: boolean;
}

export const ALL_PARTS: WantedParts = { figures: true, findings: true, adjustments: true, keyFigures: true };

/** One of the figures that tell most, under the run's own load. */
export type KeyFigureRow = Pick<Figure, "evaluationId" | "key" | "value" | "unit" | "uncertainty" | "bound">;

export type Budgets = ReadonlyMap<string, readonly BudgetPart[]>;

/** The rows of an evaluation; empty where they were not wanted. */
export interface EvaluationParts {
  readonly figures: readonly Figure[];
  readonly findings: readonly Finding[];
  readonly adjustments: readonly Adjustment[];
  readonly keyFigures: readonly KeyFigureRow[];
}

/** Reads the many rows of evaluations, for all of a list at once. */
@Injectable()
export class EvaluationPartsRepository {
  constructor(private readonly database: Database) {}

  /** Figures without what their uncertainties are made of. */
  figures(ids: readonly string[]): Promise<Omit<Figure, "budget">[]> {
    return this.database.figure.findMany({ where: { evaluationId: { in: [...ids] } }, omit: { budget: true } });
  }

  /** What the uncertainties of figures are made of: of each evaluation, by `budgetName`. */
  async budgets(ids: readonly string[]): Promise<Map<string, Budgets>> {
    const packed = await this.database.figureBudget.findMany({ where: { evaluationId: { in: [...ids] } } });
    const found = new Map(
      packed.map(({ evaluationId, encoding, data }) => [evaluationId, decodeBudgets(encoding, data)]),
    );
    const others = ids.filter((id) => !found.has(id));
    if (others.length === 0) return found;
    const select = { evaluationId: true, key: true, basis: true, load: true, budget: true } as const;
    const rows = await this.database.figure.findMany({ where: { evaluationId: { in: others } }, select });
    for (const [id, ofOne] of byEvaluation(rows)) {
      found.set(id, new Map(ofOne.map((row) => [budgetName(row), row.budget as unknown as BudgetPart[]])));
    }
    return found;
  }

  /** In the order of their evaluations and positions. */
  async findings(ids: readonly string[]): Promise<Finding[]> {
    const [rows, packed] = await Promise.all([
      this.database.finding.findMany(inPosition(ids)),
      this.database.otherFindings.findMany({ where: { evaluationId: { in: [...ids] } } }),
    ]);
    const byId = byEvaluation(rows);
    const others = new Map(packed.map((one) => [one.evaluationId, one]));
    return ids.flatMap((id) => withOthers(id, byId.get(id) ?? [], others.get(id)));
  }

  adjustments(ids: readonly string[]): Promise<Adjustment[]> {
    return this.database.adjustment.findMany(inPosition(ids));
  }

  keyFigures(ids: readonly string[]): Promise<KeyFigureRow[]> {
    const where = { evaluationId: { in: [...ids] }, key: { in: [...KEY_FIGURES] }, basis: { not: "translated" } };
    const select = { evaluationId: true, key: true, value: true, unit: true, uncertainty: true, bound: true } as const;
    return this.database.figure.findMany({ where, select });
  }
}

const inPosition = (ids: readonly string[]) => ({
  where: { evaluationId: { in: [...ids] } },
  orderBy: { position: "asc" } as const,
});

export function byEvaluation<T extends { readonly evaluationId: string }>(rows: readonly T[]): Map<string, T[]> {
  return Map.groupBy(rows, ({ evaluationId }) => evaluationId);
}
