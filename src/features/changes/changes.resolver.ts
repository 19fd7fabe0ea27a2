import { Args, Extensions, Query, Resolver } from "@nestjs/graphql";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { RunNodesService } from "../runs/nodes/run-nodes.service.js";
import { ChangesService } from "./changes.service.js";
import { ChangeConnection, ChangeView } from "./changes.views.js";

@Resolver(() => ChangeView)
export class ChangesResolver {
  constructor(
    private readonly changesService: ChangesService,
    private readonly runNodesService: RunNodesService,
  ) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => ChangeConnection, {
    nullable: true,
    description: "Every change of the public record, in the order in which it was committed, with what there is now",
  })
  async changes(@Args() args: PageArgs): Promise<Connection<ChangeView>> {
    return toConnection(await this.changesService.list(args, (ids) => this.runNodesService.byIds(ids, null)));
  }
}
