import { Module } from "@nestjs/common";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { LadderStepsModule } from "./ladder-steps.module.js";
import { LaddersController } from "./ladders.controller.js";
import { LaddersResolver } from "./ladders.resolver.js";
import { LaddersService } from "./ladders.service.js";

@Module({
  imports: [LadderStepsModule, ProtocolsModule, SpecimensModule],
  controllers: [LaddersController],
  providers: [LaddersResolver, LaddersService],
})
export class LaddersModule {}
