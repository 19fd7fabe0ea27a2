import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { EnergyController } from "./energy/energy.controller.js";
import { EnergyResolver } from "./energy/energy.resolver.js";
import { EnergyService } from "./energy/energy.service.js";
import { EnergyComparisonController } from "./energy/energy-comparison.controller.js";
import { PackModelsController } from "./pack-models.controller.js";
import { PackModelsRepository } from "./pack-models.repository.js";
import { PackModelsService } from "./pack-models.service.js";
import { PredictionsController } from "./predictions.controller.js";
import { PredictionsResolver } from "./predictions.resolver.js";
import { PredictionsService } from "./predictions.service.js";
import { ClassModelsRepository } from "./selections/class-models.repository.js";
import { ClassModelsService } from "./selections/class-models.service.js";
import { SelectionsController } from "./selections/selections.controller.js";
import { SelectionsResolver } from "./selections/selections.resolver.js";
import { SelectionsService } from "./selections/selections.service.js";
import { UsesController } from "./uses/uses.controller.js";
import { UsesResolver } from "./uses/uses.resolver.js";
import { UsesService } from "./uses/uses.service.js";
import { RecordValidationController } from "./validation/record-validation.controller.js";
import { RecordValidationRepository } from "./validation/record-validation.repository.js";
import { RecordValidationResolver } from "./validation/record-validation.resolver.js";
import { RecordValidationService } from "./validation/record-validation.service.js";

@Module({
  imports: [PacksModule, RunsModule],
  controllers: [
    EnergyComparisonController,
    EnergyController,
    PackModelsController,
    PredictionsController,
    RecordValidationController,
    SelectionsController,
    UsesController,
  ],
  providers: [
    ClassModelsRepository,
    ClassModelsService,
    EnergyResolver,
    EnergyService,
    PackModelsRepository,
    PackModelsService,
    PredictionsResolver,
    PredictionsService,
    RecordValidationRepository,
    RecordValidationResolver,
    RecordValidationService,
    SelectionsResolver,
    SelectionsService,
    UsesResolver,
    UsesService,
  ],
})
export class UseModule {}
