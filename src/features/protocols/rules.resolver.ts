import { Args, Query, Resolver } from "@nestjs/graphql";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { RulesService } from "./rules.service.js";
import { ProtocolRuleConnection, ProtocolRulesArgs, ProtocolRuleView } from "./rules.views.js";

@Resolver(() => ProtocolRuleView)
export class RulesResolver {
  constructor(private readonly rulesService: RulesService) {}

  @Query(() => ProtocolRuleConnection, {
    nullable: true,
    description: "The rules of a version of a protocol, or of its newest",
  })
  async protocolRules(@Args() args: ProtocolRulesArgs): Promise<Connection<ProtocolRuleView>> {
    return toConnection(await this.rulesService.list(args.key, args.version ?? null, args));
  }
}
