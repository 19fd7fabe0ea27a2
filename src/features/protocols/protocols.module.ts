import { Module } from "@nestjs/common";
import { ProtocolsController } from "./protocols.controller.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsResolver } from "./protocols.resolver.js";
import { ProtocolsService } from "./protocols.service.js";

@Module({
  controllers: [ProtocolsController],
  providers: [ProtocolsRepository, ProtocolsResolver, ProtocolsService],
  exports: [ProtocolsService],
})
export class ProtocolsModule {}
