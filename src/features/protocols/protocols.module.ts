import { Module } from "@nestjs/common";
import { CountingRepository } from "./counting.repository.js";
import { CountingService } from "./counting.service.js";
import { ProtocolSchemaController } from "./protocol-schema.controller.js";
import { ProtocolsController } from "./protocols.controller.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsResolver } from "./protocols.resolver.js";
import { ProtocolsService } from "./protocols.service.js";
import { PublicationService } from "./publication.service.js";
import { RulesResolver } from "./rules.resolver.js";
import { RulesService } from "./rules.service.js";

@Module({
  controllers: [ProtocolsController, ProtocolSchemaController],
  providers: [
    CountingRepository,
    CountingService,
    ProtocolsRepository,
    ProtocolsResolver,
    ProtocolsService,
    PublicationService,
    RulesResolver,
    RulesService,
  ],
  exports: [CountingService, ProtocolsService, PublicationService],
})
export class ProtocolsModule {}
