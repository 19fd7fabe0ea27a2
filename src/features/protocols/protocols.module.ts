import { Module } from "@nestjs/common";
import { ProtocolSchemaController } from "./protocol-schema.controller.js";
import { ProtocolsController } from "./protocols.controller.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsResolver } from "./protocols.resolver.js";
import { ProtocolsService } from "./protocols.service.js";
import { RulesResolver } from "./rules.resolver.js";
import { RulesService } from "./rules.service.js";

@Module({
  controllers: [ProtocolsController, ProtocolSchemaController],
  providers: [ProtocolsRepository, ProtocolsResolver, ProtocolsService, RulesResolver, RulesService],
  exports: [ProtocolsService],
})
export class ProtocolsModule {}
