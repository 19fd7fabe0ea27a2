import { Module } from "@nestjs/common";
import { LaddersModule } from "../ladders/ladders.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { PlansController } from "./plans.controller.js";
import { PlansRepository } from "./plans.repository.js";
import { PlansResolver } from "./plans.resolver.js";
import { PlansService } from "./plans.service.js";

@Module({
  imports: [LaddersModule, PacksModule, ProtocolsModule],
  controllers: [PlansController],
  providers: [PlansRepository, PlansResolver, PlansService],
})
export class PlansModule {}
