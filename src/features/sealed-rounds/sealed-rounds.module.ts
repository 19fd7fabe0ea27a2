import { Module } from "@nestjs/common";
import { ConflictsModule } from "../conflicts/conflicts.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { SealedRoundsController } from "./sealed-rounds.controller.js";
import { SealedRoundsRepository } from "./sealed-rounds.repository.js";
import { SealedRoundsResolver } from "./sealed-rounds.resolver.js";
import { SealedRoundsService } from "./sealed-rounds.service.js";

@Module({
  imports: [ConflictsModule, NoticesModule, PacksModule],
  controllers: [SealedRoundsController],
  providers: [SealedRoundsRepository, SealedRoundsResolver, SealedRoundsService],
})
export class SealedRoundsModule {}
