import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { TestersModule } from "../testers/testers.module.js";
import { ChangesController } from "./changes.controller.js";
import { ChangesRepository } from "./changes.repository.js";
import { ChangesResolver } from "./changes.resolver.js";
import { ChangesService } from "./changes.service.js";

@Module({
  imports: [PacksModule, RunsModule, TestersModule],
  controllers: [ChangesController],
  providers: [ChangesRepository, ChangesResolver, ChangesService],
  exports: [ChangesService],
})
export class ChangesModule {}
