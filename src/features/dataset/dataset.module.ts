import { Module } from "@nestjs/common";
import { ChangesModule } from "../changes/changes.module.js";
import { DatasetController } from "./dataset.controller.js";
import { DatasetRepository } from "./dataset.repository.js";
import { DatasetService } from "./dataset.service.js";

@Module({
  imports: [ChangesModule],
  controllers: [DatasetController],
  providers: [DatasetRepository, DatasetService],
})
export class DatasetModule {}
