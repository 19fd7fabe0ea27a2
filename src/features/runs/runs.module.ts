import { Module } from "@nestjs/common";
import { BenchesModule } from "../benches/benches.module.js";
import { ColumnMapsModule } from "../column-maps/column-maps.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { BatchController } from "./batch.controller.js";
import { BatchService } from "./batch.service.js";
import { ChecksController } from "./checks.controller.js";
import { ChecksService } from "./checks.service.js";
import { DecisionsService } from "./decisions.service.js";
import { EvaluationsRepository } from "./evaluations.repository.js";
import { EvaluationsService } from "./evaluations.service.js";
import { EventsController } from "./events.controller.js";
import { EventsResolver } from "./events.resolver.js";
import { EventsService } from "./events.service.js";
import { HistoryController } from "./history.controller.js";
import { HistoryRepository } from "./history.repository.js";
import { HistoryResolver } from "./history.resolver.js";
import { HistoryService } from "./history.service.js";
import { LogsRepository } from "./logs.repository.js";
import { LogsService } from "./logs.service.js";
import { RunsController } from "./runs.controller.js";
import { RunsRepository } from "./runs.repository.js";
import { RunsResolver } from "./runs.resolver.js";
import { RunsService } from "./runs.service.js";
import { TracesService } from "./traces.service.js";

import { UploadsRepository } from "./uploads.repository.js";
import { UploadsService } from "./uploads.service.js";

@Module({
  imports: [BenchesModule, ColumnMapsModule, PacksModule, ProtocolsModule, RankingsModule, SpecimensModule],
  controllers: [BatchController, ChecksController, EventsController, HistoryController, RunsController],
  providers: [
    BatchService,
    ChecksService,
    DecisionsService,
    EvaluationsRepository,
    EvaluationsService,
    EventsResolver,
    EventsService,
    HistoryRepository,
    HistoryResolver,
    HistoryService,
    LogsRepository,
    LogsService,
    RunsRepository,
    RunsResolver,
    RunsService,
    TracesService,
    UploadsRepository,
    UploadsService,
  ],
  exports: [DecisionsService, EvaluationsService, RunsService, TracesService],
})
export class RunsModule {}
