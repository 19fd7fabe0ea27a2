import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { isUuid } from "../../platform/database/rows/uuid.js";
import type { NodeOfType } from "../../platform/graphql/node.js";
import { AccountsService } from "../accounts/accounts.service.js";
import { BenchesService } from "../benches/benches.service.js";
import { PacksService } from "../packs/packs.service.js";
import { RunNodesService } from "../runs/nodes/run-nodes.service.js";
import { SpecimensService } from "../specimens/specimens.service.js";
import { NodesRepository, type NodeType } from "./nodes.repository.js";

type Found = ReadonlyMap<string, { readonly id: string }>;

/** Finds things of any type by their ids. */
@Injectable()
export class NodesService {
  constructor(
    private readonly nodesRepository: NodesRepository,
    private readonly packsService: PacksService,
    private readonly accountsService: AccountsService,
    private readonly runNodesService: RunNodesService,
    private readonly specimensService: SpecimensService,
    private readonly benchesService: BenchesService,
  ) {}

  /** In the order of the ids; null for what is not there or not for the caller. */
  async find(ids: readonly string[], caller: Caller | null): Promise<(NodeOfType | null)[]> {
    const viewer = { accountId: caller?.id ?? null, seesAll: caller !== null && caller.role !== "tester" };
    const known = ids.filter(isUuid).map((id) => id.toLowerCase());
    const types = await this.nodesRepository.typesOf(known, viewer);
    const byType = Map.groupBy(types.keys(), (id) => types.get(id) as NodeType);
    const nodes = new Map<string, NodeOfType>();
    for (const [type, ofType] of byType) {
      const found = await this.read(type, ofType, caller);
      for (const [id, node] of found) nodes.set(id, { ...node, __typename: type });
    }
    return ids.map((id) => nodes.get(id.toLowerCase()) ?? null);
  }

  private read(type: NodeType, ids: readonly string[], caller: Caller | null): Promise<Found> {
    switch (type) {
      case "Pack":
        return this.packsService.byIds(ids);
      case "Tester":
        return this.accountsService.testersByIds(ids);
      case "Run":
        return this.runNodesService.byIds(ids, caller);
      case "Specimen":
        return this.specimensService.byIds(ids);
      case "Bench":
        return this.benchesService.byIds(ids);
    }
  }
}
