import { Module } from "@nestjs/common";
import { NoticesModule } from "../notices/notices.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { AsIfDoneRepository } from "./as-if-done.repository.js";
import { EffectsRepository } from "./effects.repository.js";
import { PreparedPacksRepository } from "./prepared-packs.repository.js";
import { PreparedPacksService } from "./prepared-packs.service.js";
import { ReevaluationCommit } from "./reevaluation-commit.service.js";
import { ReevaluationNews } from "./reevaluation-news.service.js";
import { ReevaluationWorkService } from "./reevaluation-work.service.js";
import { ReevaluationsController } from "./reevaluations.controller.js";
import { ReevaluationsRepository } from "./reevaluations.repository.js";
import { ReevaluationsResolver } from "./reevaluations.resolver.js";
import { ReevaluationsService } from "./reevaluations.service.js";

@Module({
  imports: [NoticesModule, ProtocolsModule, RankingsModule, RunsModule],
  controllers: [ReevaluationsController],
  providers: [
    AsIfDoneRepository,
    EffectsRepository,
    PreparedPacksRepository,
    PreparedPacksService,
    ReevaluationNews,
    ReevaluationsRepository,
    ReevaluationsResolver,
    ReevaluationsService,
    ReevaluationWorkService,
    ReevaluationCommit,
  ],
  exports: [ReevaluationsService],
})
export class ReevaluationsModule {}
