import { Module } from "@nestjs/common";
import { ChangesModule } from "../changes/changes.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { DeliveriesRepository } from "./deliveries/deliveries.repository.js";
import { DeliveriesService } from "./deliveries/deliveries.service.js";
import { MessageReasons } from "./deliveries/message-reasons.service.js";
import { RecordChangesRepository } from "./record-changes/record-changes.repository.js";
import { RecordChangesService } from "./record-changes/record-changes.service.js";
import { WebhooksController } from "./webhooks.controller.js";
import { WebhooksRepository } from "./webhooks.repository.js";
import { WebhooksResolver } from "./webhooks.resolver.js";
import { WebhooksService } from "./webhooks.service.js";

@Module({
  imports: [ChangesModule, NoticesModule],
  controllers: [WebhooksController],
  providers: [
    DeliveriesRepository,
    DeliveriesService,
    MessageReasons,
    RecordChangesRepository,
    RecordChangesService,
    WebhooksRepository,
    WebhooksResolver,
    WebhooksService,
  ],
  exports: [RecordChangesService],
})
export class WebhooksModule {}
