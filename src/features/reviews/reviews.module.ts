import { Module } from "@nestjs/common";
import { AutoAcceptModule } from "../auto-accept/auto-accept.module.js";
import { CopiesModule } from "../copies/copies.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { EvidenceRepository } from "./evidence.repository.js";
import { EvidenceService } from "./evidence.service.js";
import { PlausibilityRepository } from "./plausibility.repository.js";
import { PlausibilityService } from "./plausibility.service.js";
import { QueuedRunFieldsResolver } from "./queued-run-fields.resolver.js";
import { ReviewsController } from "./reviews.controller.js";
import { ReviewsRepository } from "./reviews.repository.js";
import { ReviewsResolver } from "./reviews.resolver.js";
import { ReviewsService } from "./reviews.service.js";
import { RiskRepository } from "./risk.repository.js";

@Module({
  imports: [AutoAcceptModule, CopiesModule, RunsModule],
  controllers: [ReviewsController],
  providers: [
    QueuedRunFieldsResolver,
    EvidenceRepository,
    EvidenceService,
    PlausibilityRepository,
    PlausibilityService,
    ReviewsRepository,
    ReviewsResolver,
    ReviewsService,
    RiskRepository,
  ],
})
export class ReviewsModule {}
