import { Module } from "@nestjs/common";
import { NoticesModule } from "../notices/notices.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { CopiesController } from "./copies.controller.js";
import { CopiesRepository } from "./copies.repository.js";
import { CopiesResolver } from "./copies.resolver.js";
import { CopiesService } from "./copies.service.js";

@Module({
  imports: [NoticesModule, RunsModule],
  controllers: [CopiesController],
  providers: [CopiesRepository, CopiesResolver, CopiesService],
  exports: [CopiesService],
})
export class CopiesModule {}
