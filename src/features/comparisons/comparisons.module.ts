import { Module } from "@nestjs/common";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { ComparisonCurves } from "./comparison-curves.js";
import { ComparisonsController } from "./comparisons.controller.js";
import { ComparisonsResolver } from "./comparisons.resolver.js";
import { ComparisonsService } from "./comparisons.service.js";

@Module({
  imports: [PacksModule, ProtocolsModule, RankingsModule, RunsModule],
  controllers: [ComparisonsController],
  providers: [ComparisonCurves, ComparisonsResolver, ComparisonsService],
})
export class ComparisonsModule {}
