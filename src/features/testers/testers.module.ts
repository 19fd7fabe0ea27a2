import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { RecordsModule } from "../records/records.module.js";
import { TestersController } from "./testers.controller.js";
import { TestersRepository } from "./testers.repository.js";
import { TestersResolver } from "./testers.resolver.js";
import { TestersService } from "./testers.service.js";

@Module({
  imports: [PacksModule, RecordsModule],
  controllers: [TestersController],
  providers: [TestersRepository, TestersResolver, TestersService],
  exports: [TestersService],
})
export class TestersModule {}
