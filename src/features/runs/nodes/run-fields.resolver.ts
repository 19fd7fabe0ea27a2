import { Context, Parent, ResolveField, Resolver } from "@nestjs/graphql";
import type { GuardedContext } from "../../../platform/graphql/execution/guard-resolvers.js";
import { RunView } from "../runs.views.js";
import { RunLoaders } from "./run-loaders.js";
import type { RunNode, RunPart, RunReferences } from "./run-node.js";

/** Reads the parts of runs that a query selects. A run that comes whole, as evidence has it, shows what it has. */
@Resolver(() => RunView)
export class RunFieldsResolver {
  constructor(private readonly runLoaders: RunLoaders) {}

  @ResolveField()
  pack(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(run, "pack", ({ packId }) => this.runLoaders.packs.load(operation, packId));
  }

  @ResolveField()
  specimen(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(run, "specimen", ({ specimenId }) => this.runLoaders.specimens.load(operation, specimenId));
  }

  @ResolveField()
  bench(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(run, "bench", ({ benchId }) => this.runLoaders.benches.load(operation, benchId));
  }

  @ResolveField()
  tester(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(run, "tester", ({ testerId }) => this.runLoaders.testers.load(operation, testerId));
  }

  @ResolveField()
  question(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    if (run.review !== "info-requested") return null;
    return part(run, "question", () => this.runLoaders.questions.load(operation, run.id));
  }

  @ResolveField()
  figures(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(
      run,
      "figures",
      ofEvaluation((id) => this.runLoaders.figures.load(operation, id)),
    );
  }

  @ResolveField()
  keyFigures(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(
      run,
      "keyFigures",
      ofEvaluation((id) => this.runLoaders.keyFigures.load(operation, id)),
    );
  }

  @ResolveField()
  adjustments(@Parent() run: RunNode | RunView, @Context() operation: GuardedContext) {
    return part(
      run,
      "adjustments",
      ofEvaluation((id) => this.runLoaders.adjustments.load(operation, id)),
    );
  }
}

function part<T>(run: RunNode | RunView, name: RunPart, read: (references: RunReferences) => T): unknown {
  return "references" in run ? read(run.references) : run[name];
}

/** Rows of a run's evaluation; none without one. */
function ofEvaluation<T>(read: (id: string) => Promise<readonly T[] | null>) {
  return async ({ evaluationId }: RunReferences): Promise<readonly T[]> =>
    (evaluationId === null ? null : await read(evaluationId)) ?? [];
}
