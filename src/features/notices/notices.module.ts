import { Module } from "@nestjs/common";
import { NoticeEventsService } from "./notice-events.service.js";
import { NoticeReasonsRepository } from "./notice-reasons.repository.js";
import { NoticeWriter } from "./notice-writer.service.js";
import { NoticesController } from "./notices.controller.js";
import { NoticesRepository } from "./notices.repository.js";
import { NoticesResolver } from "./notices.resolver.js";
import { NoticesService } from "./notices.service.js";
import { PackPeopleRepository } from "./pack-people.repository.js";

@Module({
  controllers: [NoticesController],
  providers: [
    NoticeEventsService,
    NoticeReasonsRepository,
    NoticeWriter,
    NoticesRepository,
    NoticesResolver,
    NoticesService,
    PackPeopleRepository,
  ],
  exports: [NoticeReasonsRepository, NoticeWriter, PackPeopleRepository],
})
export class NoticesModule {}
