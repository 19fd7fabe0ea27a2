import { Module } from "@nestjs/common";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { AcceptanceController } from "./acceptance.controller.js";
import { AcceptanceResolver } from "./acceptance.resolver.js";
import { AcceptanceService } from "./acceptance.service.js";
import { AcceptanceFactsRepository } from "./acceptance-facts.repository.js";
import { AcceptanceRuleRepository } from "./acceptance-rule.repository.js";

@Module({
  imports: [RankingsModule, RunsModule],
  controllers: [AcceptanceController],
  providers: [AcceptanceFactsRepository, AcceptanceResolver, AcceptanceRuleRepository, AcceptanceService],
  exports: [AcceptanceService],
})
export class AcceptanceModule {}
