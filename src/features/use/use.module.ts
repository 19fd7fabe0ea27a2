import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { PackModelsController } from "./pack-models.controller.js";
import { PackModelsRepository } from "./pack-models.repository.js";
import { PackModelsService } from "./pack-models.service.js";
import { PredictionsController } from "./predictions.controller.js";
import { PredictionsResolver } from "./predictions.resolver.js";
import { PredictionsService } from "./predictions.service.js";

@Module({
  imports: [PacksModule],
  controllers: [PackModelsController, PredictionsController],
  providers: [PackModelsRepository, PackModelsService, PredictionsResolver, PredictionsService],
})
export class UseModule {}
