import { type DynamicModule, Module } from "@nestjs/common";
import { AccountsModule } from "./features/accounts/accounts.module.js";
import { AutoAcceptModule } from "./features/auto-accept/auto-accept.module.js";
import { BenchesModule } from "./features/benches/benches.module.js";
import { ChangesModule } from "./features/changes/changes.module.js";
import { ColumnMapsModule } from "./features/column-maps/column-maps.module.js";
import { ComparisonsModule } from "./features/comparisons/comparisons.module.js";
import { CopiesModule } from "./features/copies/copies.module.js";
import { DatasetModule } from "./features/dataset/dataset.module.js";
import { ExportModule } from "./features/export/export.module.js";
import { FiguresModule } from "./features/figures/figures.module.js";
import { LaddersModule } from "./features/ladders/ladders.module.js";
import { MailModule } from "./features/mail/mail.module.js";
import { NodesModule } from "./features/nodes/nodes.module.js";
import { NoticesModule } from "./features/notices/notices.module.js";
import { PacksModule } from "./features/packs/packs.module.js";
import { PlansModule } from "./features/plans/plans.module.js";
import { ProtocolsModule } from "./features/protocols/protocols.module.js";
import { RankingsModule } from "./features/rankings/rankings.module.js";
import { ReevaluationsModule } from "./features/reevaluations/reevaluations.module.js";
import { RegisterModule } from "./features/register/register.module.js";
import { ReviewsModule } from "./features/reviews/reviews.module.js";
import { RunsModule } from "./features/runs/runs.module.js";
import { SealedRoundsModule } from "./features/sealed-rounds/sealed-rounds.module.js";
import { SpecimensModule } from "./features/specimens/specimens.module.js";
import { TestersModule } from "./features/testers/testers.module.js";
import { UseModule } from "./features/use/use.module.js";
import { WebhooksModule } from "./features/webhooks/webhooks.module.js";
import { AuditLogModule } from "./platform/audit-log/audit-log.module.js";
import type { Config } from "./platform/config/config.js";
import { ConfigModule } from "./platform/config/config.module.js";
import { DatabaseModule } from "./platform/database/database.module.js";
import { GraphqlModule } from "./platform/graphql/graphql.module.js";
import { IdempotencyModule } from "./platform/idempotency/idempotency.module.js";
import { LimitsModule } from "./platform/limits/limits.module.js";
import type { RequestLimits } from "./platform/limits/request-limits.js";
import { Metrics } from "./platform/metrics/metrics.js";
import { MetricsModule } from "./platform/metrics/metrics.module.js";
import { NotificationsModule } from "./platform/notifications/notifications.module.js";
import { ObjectStorageModule } from "./platform/object-storage/object-storage.module.js";
import { PicturesModule } from "./platform/pictures/pictures.module.js";
import { PlatformModule } from "./platform/platform.module.js";
import { QueueModule } from "./platform/queue/queue.module.js";
import { StorageModule } from "./platform/storage/storage.module.js";
import { ThreadsModule } from "./platform/threads/threads.module.js";

/** The service: the platform and every feature on it. */
@Module({})
export class AppModule {
  static with(config: Config, connectionString: string, requestLimits: RequestLimits, metrics: Metrics): DynamicModule {
    return {
      module: AppModule,
      imports: [
        ConfigModule.with(config),
        DatabaseModule.at(connectionString, config),
        GraphqlModule,
        IdempotencyModule,
        LimitsModule.with(requestLimits),
        MetricsModule.with(metrics),
        NotificationsModule,
        ObjectStorageModule,
        PlatformModule,
        QueueModule,
        StorageModule,
        AuditLogModule,
        PicturesModule,
        ThreadsModule,
        AutoAcceptModule,
        AccountsModule,
        BenchesModule,
        ChangesModule,
        ColumnMapsModule,
        NodesModule,
        NoticesModule,
        PacksModule,
        ProtocolsModule,
        SpecimensModule,
        TestersModule,
        RunsModule,
        RankingsModule,
        ComparisonsModule,
        DatasetModule,
        ExportModule,
        FiguresModule,
        LaddersModule,
        PlansModule,
        CopiesModule,
        RegisterModule,
        ReviewsModule,
        ReevaluationsModule,
        SealedRoundsModule,
        UseModule,
        WebhooksModule,
        MailModule,
      ],
    };
  }
}
