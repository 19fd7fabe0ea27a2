import { Module } from "@nestjs/common";
import { AutoAcceptModule } from "../auto-accept/auto-accept.module.js";
import { CopiesModule } from "../copies/copies.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RecordsModule } from "../records/records.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { TestersModule } from "../testers/testers.module.js";
import { AppealsRepository } from "./appeals.repository.js";
import { AppealsService } from "./appeals.service.js";
import { ClaimsController } from "./claims.controller.js";
import { ClaimsRepository } from "./claims.repository.js";
import { ClaimsResolver } from "./claims.resolver.js";
import { ClaimsService } from "./claims.service.js";
import { EvidenceRepository } from "./evidence.repository.js";
import { EvidenceService } from "./evidence.service.js";
import { InterestsRepository } from "./interests.repository.js";
import { MadeDecisionsRepository } from "./made-decisions.repository.js";
import { MadeDecisionsService } from "./made-decisions.service.js";
import { PlausibilityRepository } from "./plausibility.repository.js";
import { PlausibilityService } from "./plausibility.service.js";
import { ProposalsRepository } from "./proposals.repository.js";
import { QueuedRunFieldsResolver } from "./queued-run-fields.resolver.js";
import { ReviewsController } from "./reviews.controller.js";
import { ReviewsRepository } from "./reviews.repository.js";
import { ReviewsResolver } from "./reviews.resolver.js";
import { ReviewsService } from "./reviews.service.js";
import { RiskRepository } from "./risk.repository.js";
import { SummaryRepository } from "./summary.repository.js";
import { SummaryService } from "./summary.service.js";

@Module({
  imports: [AutoAcceptModule, CopiesModule, NoticesModule, ProtocolsModule, RecordsModule, RunsModule, TestersModule],
  controllers: [ClaimsController, ReviewsController],
  providers: [
    AppealsRepository,
    AppealsService,
    ClaimsRepository,
    ClaimsResolver,
    ClaimsService,
    InterestsRepository,
    MadeDecisionsRepository,
    MadeDecisionsService,
    ProposalsRepository,
    SummaryRepository,
    SummaryService,
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
