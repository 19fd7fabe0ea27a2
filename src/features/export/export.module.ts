import { Module } from "@nestjs/common";
import { RunsModule } from "../runs/runs.module.js";
import { ExportController } from "./export.controller.js";
import { ExportRepository } from "./export.repository.js";
import { ExportService } from "./export.service.js";

@Module({
  imports: [RunsModule],
  controllers: [ExportController],
  providers: [ExportRepository, ExportService],
})
export class ExportModule {}
