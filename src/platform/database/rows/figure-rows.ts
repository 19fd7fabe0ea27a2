import { budgetName, decodeBudgets } from "../../../core/figures/stored-budgets.js";
import type { Basis, Bound, BudgetPart, Figure, SharedUncertainty } from "../../../core/model.js";
import type { Figure as FigureRow, Prisma } from "../../../generated/prisma/client.js";
import { columnOfLoad, loadOfColumn } from "./load-column.js";

/** A figure as it is stored with its evaluation; its budget may be stored with those of the others. */
export function figureColumns({
  shared,
  load,
  budget,
  ...figure
}: Figure): Omit<Prisma.FigureCreateManyInput, "evaluationId"> {
  return {
    ...figure,
    load: columnOfLoad(load),
    ownUncertainty: shared?.own ?? null,
    kineticsUncertainty: shared?.kinetics ?? null,
    resistanceUncertainty: shared?.resistance ?? null,
    formUncertainty: shared?.form ?? null,
    budget: budget as unknown as Prisma.InputJsonArray,
  };
}

/** The budgets of an evaluation's figures as they are stored together. */
export interface StoredBudgets {
  readonly encoding: string;
  readonly data: Uint8Array;
}

/** Rows of one evaluation's figures with their budgets, wherever those are stored. */
export function withBudgets<Row extends Pick<FigureRow, "key" | "basis" | "load" | "budget">>(
  rows: readonly Row[],
  stored: StoredBudgets | null,
): Row[] {
  if (!stored) return [...rows];
  const budgets = decodeBudgets(stored.encoding, stored.data);
  return rows.map((row) => ({ ...row, budget: (budgets.get(budgetName(row)) ?? []) as unknown as Prisma.JsonArray }));
}

/** The figure that a row holds. */
export function figureOfRow(row: Omit<FigureRow, "evaluationId">): Figure {
  const { key, value, unit, uncertainty, load, basis, bound, budget } = row;
  return {
    key,
    value,
    unit,
    uncertainty,
    basis: basis as Basis,
    load: loadOfColumn(load),
    shared: sharedOfRow(row),
    bound: bound as Bound,
    budget: budget as unknown as BudgetPart[],
  };
}

function sharedOfRow(row: Omit<FigureRow, "evaluationId">): SharedUncertainty | null {
  const {
    ownUncertainty: own,
    kineticsUncertainty: kinetics,
    resistanceUncertainty: resistance,
    formUncertainty: form,
  } = row;
  return own === null || kinetics === null || resistance === null || form === null
    ? null
    : { own, kinetics, resistance, form };
}
