import { Module } from "@nestjs/common";
import { NoticesModule } from "../notices/notices.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { DryRunRepository } from "./dry-run.repository.js";
import { ReevaluationCommit } from "./reevaluation-commit.service.js";
import { ReevaluationWorkService } from "./reevaluation-work.service.js";
import { ReevaluationsController } from "./reevaluations.controller.js";
import { ReevaluationsRepository } from "./reevaluations.repository.js";
import { ReevaluationsResolver } from "./reevaluations.resolver.js";
import { ReevaluationsService } from "./reevaluations.service.js";

@Module({
  imports: [NoticesModule, ProtocolsModule, RankingsModule, RunsModule],
  controllers: [ReevaluationsController],
  providers: [
    DryRunRepository,
    ReevaluationsRepository,
    ReevaluationsResolver,
    ReevaluationsService,
    ReevaluationWorkService,
    ReevaluationCommit,
  ],
  exports: [ReevaluationsService],
})
export class ReevaluationsModule {}
