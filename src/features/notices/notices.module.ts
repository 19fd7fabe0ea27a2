import { Module } from "@nestjs/common";
import { NoticeEventsService } from "./notice-events.service.js";
import { NoticeReasonsRepository } from "./notice-reasons.repository.js";
import { NoticeReasons } from "./notice-reasons.service.js";
import { NoticeWriter } from "./notice-writer.service.js";
import { NoticesController } from "./notices.controller.js";
import { NoticesRepository } from "./notices.repository.js";
import { NoticesResolver } from "./notices.resolver.js";
import { NoticesService } from "./notices.service.js";
import { PackPeople } from "./pack-people.service.js";

@Module({
  controllers: [NoticesController],
  providers: [
    NoticeEventsService,
    NoticeReasons,
    NoticeReasonsRepository,
    NoticeWriter,
    NoticesRepository,
    NoticesResolver,
    NoticesService,
    PackPeople,
  ],
  exports: [NoticeReasons, NoticeWriter, PackPeople],
})
export class NoticesModule {}
