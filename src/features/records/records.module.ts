import { Module } from "@nestjs/common";
import { ConflictsModule } from "../conflicts/conflicts.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { PairsRepository } from "./pairs.repository.js";
import { RecordsRepository } from "./records.repository.js";
import { RecordsService } from "./records.service.js";

@Module({
  imports: [ConflictsModule, NoticesModule, RankingsModule],
  providers: [PairsRepository, RecordsRepository, RecordsService],
  exports: [RecordsService],
})
export class RecordsModule {}
