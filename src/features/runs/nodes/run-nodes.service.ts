import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { mapPage, type Page } from "../../../platform/paging/page.js";
import { notFound } from "../../../platform/problems/problem.js";
import { runFacts } from "../run-view.js";
import { maySee, RunsService } from "../runs.service.js";
import type { RunsArgs } from "../runs.views.js";
import type { RunNode } from "./run-node.js";
import { type RunNodeRow, RunNodesRepository } from "./run-nodes.repository.js";

export type { RunNode } from "./run-node.js";

/** Runs as GraphQL begins with them, for whoever may know that they exist. */
@Injectable()
export class RunNodesService {
  constructor(
    private readonly runsService: RunsService,
    private readonly runNodesRepository: RunNodesRepository,
  ) {}

  /** Those of some runs that the caller may know to exist, by id. */
  async byIds(ids: readonly string[], caller: Caller | null): Promise<ReadonlyMap<string, RunNode>> {
    const rows = await this.runNodesRepository.findMany(ids);
    return new Map(rows.filter((row) => maySee(row, caller)).map((row) => [row.id, nodeOf(row)]));
  }

  async get(id: string, caller: Caller | null): Promise<RunNode> {
    const [run] = (await this.byIds([idOf(id, "run")], caller)).values();
    if (!run) throw notFound("run");
    return run;
  }

  async list(args: RunsArgs, caller: Caller | null): Promise<Page<RunNode>> {
    const page = await this.runsService.page(args, caller);
    const ids = page.items.map(({ id }) => id);
    const runs = await this.byIds(ids, caller);
    return mapPage(page, ({ id }) => runs.get(id) as RunNode);
  }
}

function nodeOf(row: RunNodeRow): RunNode {
  const { specimenId, benchId, testerId, currentEvaluation: evaluation } = row;
  const facts = runFacts(row);
  return {
    ...facts,
    references: { packId: row.specimen.packId, specimenId, benchId, testerId, evaluationId: evaluation?.id ?? null },
    conformance: evaluation && facts.verdict && { verdict: facts.verdict, evaluationId: evaluation.id },
  };
}
