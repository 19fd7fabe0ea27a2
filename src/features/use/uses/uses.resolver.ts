import { Args, ID, Query, Resolver } from "@nestjs/graphql";
import { LOG_DEMANDS, type LogDemand } from "../../../core/use/log-demand.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { JsonObject } from "../../../platform/graphql/json-object.scalar.js";
import { graphqlEnumOf } from "../../../platform/views/enumeration.js";
import { USE_SCHEMA } from "./use-schema.js";
import { UsesService } from "./uses.service.js";
import { LoggedUseView } from "./uses.views.js";

@Resolver(() => LoggedUseView)
export class UsesResolver {
  constructor(private readonly usesService: UsesService) {}

  @Query(() => JsonObject, {
    nullable: true,
    description: "JSON Schema (2020-12) of a use, as predictions and selections take it in REST",
  })
  useSchema(): object {
    return USE_SCHEMA;
  }

  @Query(() => LoggedUseView, {
    nullable: true,
    description: "What a run drew, as the steps of a use: ask predictions and selections what other packs do under it",
  })
  useOfRun(
    @Args("runId", { type: () => ID, description: "Which run, by its id" }) runId: string,
    @Args("demand", {
      type: () => graphqlEnumOf(LOG_DEMANDS),
      nullable: true,
      description: "What the use asks of other packs; current when left out",
    })
    demand: LogDemand | null,
    @CurrentAccount() caller: Caller | null,
  ): Promise<LoggedUseView> {
    return this.usesService.ofRun(runId, demand ?? "current", caller);
  }
}
