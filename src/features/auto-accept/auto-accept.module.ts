import { Module } from "@nestjs/common";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { AutoAcceptController } from "./auto-accept.controller.js";
import { AutoAcceptResolver } from "./auto-accept.resolver.js";
import { AutoAcceptService } from "./auto-accept.service.js";
import { AutoAcceptFactsRepository } from "./auto-accept-facts.repository.js";
import { AutoAcceptPolicyRepository } from "./auto-accept-policy.repository.js";

@Module({
  imports: [RankingsModule, RunsModule],
  controllers: [AutoAcceptController],
  providers: [AutoAcceptFactsRepository, AutoAcceptResolver, AutoAcceptPolicyRepository, AutoAcceptService],
  exports: [AutoAcceptService],
})
export class AutoAcceptModule {}
