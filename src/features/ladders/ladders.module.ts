import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { LadderStepsModule } from "./ladder-steps.module.js";
import { LaddersController } from "./ladders.controller.js";
import { LaddersResolver } from "./ladders.resolver.js";
import { LaddersService } from "./ladders.service.js";
import { PackLaddersController } from "./pack-ladders.controller.js";

@Module({
  imports: [LadderStepsModule, PacksModule, ProtocolsModule, SpecimensModule],
  controllers: [LaddersController, PackLaddersController],
  providers: [LaddersResolver, LaddersService],
  exports: [LaddersService],
})
export class LaddersModule {}
