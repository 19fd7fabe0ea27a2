import { Module } from "@nestjs/common";
import { BenchesModule } from "../benches/benches.module.js";
import { ColumnMapsModule } from "../column-maps/column-maps.module.js";
import { ConflictsModule } from "../conflicts/conflicts.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { OpenRoundsModule } from "../sealed-rounds/open-rounds.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { TestersModule } from "../testers/testers.module.js";
import { ChecksController } from "./checks/checks.controller.js";
import { ChecksService } from "./checks/checks.service.js";
import { CountedWithdrawalsRepository } from "./decisions/counted-withdrawals.repository.js";
import { DecisionsRepository } from "./decisions/decisions.repository.js";
import { DecisionsService } from "./decisions/decisions.service.js";
import { WithdrawalsService } from "./decisions/withdrawals.service.js";
import { EvaluationPartsRepository } from "./evaluation/evaluation-parts.repository.js";
import { EvaluationTurnsRepository } from "./evaluation/evaluation-turns.repository.js";
import { EvaluationsRepository } from "./evaluation/evaluations.repository.js";
import { EvaluationsService } from "./evaluation/evaluations.service.js";
import { LogThreads } from "./evaluation/log-threads.js";
import { OutdatedRunsRepository } from "./evaluation/outdated-runs.repository.js";
import { OutdatedRunsService } from "./evaluation/outdated-runs.service.js";
import { QueuedRunsRepository } from "./evaluation/queued-runs.repository.js";
import { HistoryController } from "./history/history.controller.js";
import { HistoryRepository } from "./history/history.repository.js";
import { HistoryResolver } from "./history/history.resolver.js";
import { HistoryService } from "./history/history.service.js";
import { LogRemovalsRepository } from "./log/log-removals.repository.js";
import { LogRemovalsService } from "./log/log-removals.service.js";
import { LogsRepository } from "./log/logs.repository.js";
import { LogsService } from "./log/logs.service.js";
import { LogUsesController } from "./log-uses/log-uses.controller.js";
import { LogUsesService } from "./log-uses/log-uses.service.js";
import { RunMovesRepository } from "./moves/run-moves.repository.js";
import { RunMovesService } from "./moves/run-moves.service.js";
import { ConformanceFieldsResolver, FigureFieldsResolver } from "./nodes/evaluation-fields.resolver.js";
import { PublicRuns } from "./nodes/public-runs.js";
import { PublicRunsRepository } from "./nodes/public-runs.repository.js";
import { PackRunsResolver, TesterRunsResolver } from "./nodes/public-runs.resolver.js";
import { RunFieldsResolver } from "./nodes/run-fields.resolver.js";
import { RunLoaders } from "./nodes/run-loaders.js";
import { RunNodesRepository } from "./nodes/run-nodes.repository.js";
import { RunNodesService } from "./nodes/run-nodes.service.js";
import { PackRunsController } from "./pack-runs.controller.js";
import { EventsController } from "./progress/events.controller.js";
import { EventsResolver } from "./progress/events.resolver.js";
import { EventsService } from "./progress/events.service.js";
import { ProgressRepository } from "./progress/progress.repository.js";
import { QuestionsRepository } from "./question/questions.repository.js";
import { ReadingsController } from "./readings/readings.controller.js";
import { ReadingsResolver } from "./readings/readings.resolver.js";
import { ReadingsService } from "./readings/readings.service.js";
import { RunHeadsRepository } from "./run-heads.repository.js";
import { RunPagesRepository } from "./run-pages.repository.js";
import { RunsController } from "./runs.controller.js";
import { RunsRepository } from "./runs.repository.js";
import { RunsResolver } from "./runs.resolver.js";
import { RunsService } from "./runs.service.js";
import { TracesRepository } from "./trace/traces.repository.js";
import { TracesService } from "./trace/traces.service.js";
import { RunTransitionsRepository } from "./transitions/run-transitions.repository.js";
import { BatchController } from "./upload/batch.controller.js";
import { BatchService } from "./upload/batch.service.js";
import { UploadReferencesRepository } from "./upload/upload-references.repository.js";
import { UploadTurns } from "./upload/upload-turns.js";
import { UploadsRepository } from "./upload/uploads.repository.js";
import { UploadsService } from "./upload/uploads.service.js";

export { RunFieldsResolver } from "./nodes/run-fields.resolver.js";

@Module({
  imports: [
    BenchesModule,
    ColumnMapsModule,
    ConflictsModule,
    NoticesModule,
    OpenRoundsModule,
    PacksModule,
    ProtocolsModule,
    RankingsModule,
    SpecimensModule,
    TestersModule,
  ],
  controllers: [
    BatchController,
    ChecksController,
    EventsController,
    HistoryController,
    LogUsesController,
    PackRunsController,
    ReadingsController,
    RunsController,
  ],
  providers: [
    BatchService,
    ConformanceFieldsResolver,
    FigureFieldsResolver,
    PackRunsResolver,
    PublicRuns,
    PublicRunsRepository,
    TesterRunsResolver,
    RunFieldsResolver,
    RunLoaders,
    RunNodesRepository,
    RunNodesService,
    ChecksService,
    DecisionsService,
    WithdrawalsService,
    CountedWithdrawalsRepository,
    DecisionsRepository,
    EvaluationPartsRepository,
    EvaluationsRepository,
    EvaluationsService,
    EventsResolver,
    EventsService,
    HistoryRepository,
    HistoryResolver,
    HistoryService,
    LogThreads,
    LogUsesService,
    LogRemovalsRepository,
    LogRemovalsService,
    LogsRepository,
    LogsService,
    ProgressRepository,
    EvaluationTurnsRepository,
    QuestionsRepository,
    OutdatedRunsRepository,
    OutdatedRunsService,
    QueuedRunsRepository,
    ReadingsResolver,
    ReadingsService,
    RunMovesRepository,
    RunMovesService,
    RunHeadsRepository,
    RunPagesRepository,
    RunTransitionsRepository,
    RunsRepository,
    RunsResolver,
    RunsService,
    TracesRepository,
    TracesService,
    UploadReferencesRepository,
    UploadsRepository,
    UploadTurns,
    UploadsService,
  ],
  exports: [
    DecisionsService,
    WithdrawalsService,
    EvaluationsService,
    LogsService,
    OutdatedRunsService,
    ReadingsService,
    RunLoaders,
    RunNodesService,
    RunsService,
    TracesService,
  ],
})
export class RunsModule {}
