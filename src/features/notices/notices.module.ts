import { Module } from "@nestjs/common";
import { NoticeEventsService } from "./notice-events.service.js";
import { NoticeWriter } from "./notice-writer.service.js";
import { NoticesController } from "./notices.controller.js";
import { NoticesRepository } from "./notices.repository.js";
import { NoticesResolver } from "./notices.resolver.js";
import { NoticesService } from "./notices.service.js";

@Module({
  controllers: [NoticesController],
  providers: [NoticeEventsService, NoticeWriter, NoticesRepository, NoticesResolver, NoticesService],
  exports: [NoticeWriter],
})
export class NoticesModule {}
