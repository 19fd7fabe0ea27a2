import { Module } from "@nestjs/common";
import { LaddersModule } from "../ladders/ladders.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { ComparisonColumns } from "./comparison-columns.js";
import { ComparisonCurves } from "./comparison-curves.js";
import { ComparisonsController } from "./comparisons.controller.js";
import { ComparisonsResolver } from "./comparisons.resolver.js";
import { ComparisonsService } from "./comparisons.service.js";
import { SpecimenFiguresRepository } from "./specimen-figures.repository.js";

@Module({
  imports: [LaddersModule, PacksModule, ProtocolsModule, RankingsModule, RunsModule, SpecimensModule],
  controllers: [ComparisonsController],
  providers: [ComparisonColumns, ComparisonCurves, ComparisonsResolver, ComparisonsService, SpecimenFiguresRepository],
})
export class ComparisonsModule {}
