import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import { PROTOCOL_SCHEMA } from "../../core/protocol/schema.js";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { JsonObject } from "../../platform/graphql/json-object.scalar.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { ProtocolsService } from "./protocols.service.js";
import { ProtocolArgs, ProtocolConnection, ProtocolView } from "./protocols.views.js";
import { PublicationService } from "./publication.service.js";

@Resolver(() => ProtocolView)
export class ProtocolsResolver {
  constructor(
    private readonly protocolsService: ProtocolsService,
    private readonly publicationService: PublicationService,
  ) {}

  @Query(() => ProtocolConnection, { nullable: true, description: "The newest version of each protocol" })
  async protocols(@Args() args: PageArgs): Promise<Connection<ProtocolView>> {
    return toConnection(await this.protocolsService.list(args));
  }

  @Query(() => ProtocolView, { nullable: true, description: "A version of a protocol, or its newest" })
  protocol(@Args() { key, version }: ProtocolArgs): Promise<ProtocolView> {
    return this.protocolsService.get(key, version);
  }

  @Mutation(() => ProtocolView, { nullable: true, description: "Publish the next version of a protocol, for good" })
  @Roles("administrator")
  publishProtocolVersion(
    @Args("key", { description: "Short name of the protocol" }) key: string,
    @Args("document", { type: () => JsonObject, description: "The whole document, as the schema of protocols has it" })
    document: object,
    @CurrentAccount() caller: Caller,
  ): Promise<ProtocolView> {
    return this.publicationService.publish(key, document, caller);
  }

  @Query(() => JsonObject, { nullable: true, description: "JSON Schema (2020-12) of a protocol's document" })
  protocolSchema(): object {
    return PROTOCOL_SCHEMA;
  }
}
