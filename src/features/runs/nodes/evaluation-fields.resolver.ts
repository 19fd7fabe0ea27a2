import { Context, Parent, ResolveField, Resolver } from "@nestjs/graphql";
import { budgetName } from "../../../core/figures/stored-budgets.js";
import { columnOfLoad } from "../../../platform/database/rows/load-column.js";
import type { GuardedContext } from "../../../platform/graphql/execution/guard-resolvers.js";
import { BudgetPartView, ConformanceView, FigureView, FindingView } from "../evaluation/evaluation.views.js";
import { RunLoaders } from "./run-loaders.js";
import type { ConformanceNode, FigureNode } from "./run-node.js";

/** Reads what figures' uncertainties are made of, where a query selects it. */
@Resolver(() => FigureView)
export class FigureFieldsResolver {
  constructor(private readonly runLoaders: RunLoaders) {}

  @ResolveField()
  async budget(
    @Parent() figure: FigureNode | FigureView,
    @Context() operation: GuardedContext,
  ): Promise<readonly BudgetPartView[]> {
    if (!("evaluationId" in figure)) return figure.budget;
    const budgets = await this.runLoaders.budgets.load(operation, figure.evaluationId);
    return budgets?.get(budgetName({ ...figure, load: columnOfLoad(figure.load) })) ?? [];
  }
}

/** Reads the outcomes of rules, where a query selects them. */
@Resolver(() => ConformanceView)
export class ConformanceFieldsResolver {
  constructor(private readonly runLoaders: RunLoaders) {}

  @ResolveField()
  async findings(
    @Parent() conformance: ConformanceNode | ConformanceView,
    @Context() operation: GuardedContext,
  ): Promise<readonly FindingView[]> {
    if (!("evaluationId" in conformance)) return conformance.findings;
    return (await this.runLoaders.findings.load(operation, conformance.evaluationId)) ?? [];
  }
}
