import { Module } from "@nestjs/common";
import { NoticesModule } from "../notices/notices.module.js";
import { DeliveriesRepository } from "./deliveries/deliveries.repository.js";
import { DeliveriesService } from "./deliveries/deliveries.service.js";
import { WebhooksController } from "./webhooks.controller.js";
import { WebhooksRepository } from "./webhooks.repository.js";
import { WebhooksResolver } from "./webhooks.resolver.js";
import { WebhooksService } from "./webhooks.service.js";

@Module({
  imports: [NoticesModule],
  controllers: [WebhooksController],
  providers: [DeliveriesRepository, DeliveriesService, WebhooksRepository, WebhooksResolver, WebhooksService],
})
export class WebhooksModule {}
