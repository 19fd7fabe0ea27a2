import { Injectable } from "@nestjs/common";
import type { GuardedContext } from "../../../platform/graphql/execution/guard-resolvers.js";
import { Loader } from "../../../platform/graphql/loader.js";
import { PageLoader } from "../../../platform/graphql/page-loader.js";
import { type Connection, type PageArgs, toConnection } from "../../../platform/paging/page.js";
import { PublicRunsRepository, type RunParent } from "./public-runs.repository.js";
import type { RunNode } from "./run-node.js";
import { RunNodesService } from "./run-nodes.service.js";

const PARENTS_AT_ONCE = 100;
const RUNS_AT_ONCE = 100;

/** The accepted runs of packs and of testers, read for all of an operation together. */
@Injectable()
export class PublicRuns {
  constructor(
    private readonly publicRunsRepository: PublicRunsRepository,
    private readonly runNodesService: RunNodesService,
  ) {}

  private readonly nodes = new Loader(RUNS_AT_ONCE, (ids) => this.runNodesService.byIds(ids, null));
  private readonly pages = { pack: this.pagesOf("pack"), tester: this.pagesOf("tester") };

  /** Cursors are those of the list of runs that is narrowed to the same pack or tester. */
  async of(
    parent: RunParent,
    { id, args, operation }: { readonly id: string; readonly args: PageArgs; readonly operation: GuardedContext },
  ): Promise<Connection<RunNode>> {
    const page = await this.pages[parent].page(
      operation,
      { parentId: id, filter: null, args },
      { name: "runs", filters: { [`${parent}Id`]: id }, keys: ["uuid"], keyOf: (run) => [run.id] },
    );
    const nodes = await Promise.all(page.items.map((run) => this.nodes.load(operation, run.id)));
    const { edges, ...connection } = toConnection(page);
    // One that was withdrawn since the page was read is shown no more.
    const shown = edges.flatMap(({ cursor }, index) => {
      const node = nodes[index];
      return node ? [{ cursor, node }] : [];
    });
    return { ...connection, edges: shown };
  }

  private pagesOf(parent: RunParent): PageLoader<{ readonly id: string }> {
    return new PageLoader(PARENTS_AT_ONCE, {
      read: (ids, _, window) => this.publicRunsRepository.windows(parent, ids, window),
      count: (ids) => this.publicRunsRepository.counts(parent, ids),
    });
  }
}
