import { Module } from "@nestjs/common";
import { AutoAcceptModule } from "../auto-accept/auto-accept.module.js";
import { CopiesModule } from "../copies/copies.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { RecordsModule } from "../records/records.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { TestersModule } from "../testers/testers.module.js";
import { AppealsRepository } from "./decisions/appeals.repository.js";
import { AppealsService } from "./decisions/appeals.service.js";
import { InterestsRepository } from "./decisions/interests.repository.js";
import { MadeDecisionsRepository } from "./decisions/made-decisions.repository.js";
import { MadeDecisionsService } from "./decisions/made-decisions.service.js";
import { ProposalsRepository } from "./decisions/proposals.repository.js";
import { EvidenceRepository } from "./evidence/evidence.repository.js";
import { EvidenceService } from "./evidence/evidence.service.js";
import { PlausibilityRepository } from "./evidence/plausibility.repository.js";
import { PlausibilityService } from "./evidence/plausibility.service.js";
import { SummaryRepository } from "./evidence/summary.repository.js";
import { SummaryService } from "./evidence/summary.service.js";
import { ClaimsController } from "./queue/claims.controller.js";
import { ClaimsRepository } from "./queue/claims.repository.js";
import { ClaimsResolver } from "./queue/claims.resolver.js";
import { ClaimsService } from "./queue/claims.service.js";
import { QueuedRunFieldsResolver } from "./queue/queued-run-fields.resolver.js";
import { RiskRepository } from "./queue/risk.repository.js";
import { ScoresRepository } from "./queue/scores.repository.js";
import { ScoresService } from "./queue/scores.service.js";
import { ReviewsController } from "./reviews.controller.js";
import { ReviewsRepository } from "./reviews.repository.js";
import { ReviewsResolver } from "./reviews.resolver.js";
import { ReviewsService } from "./reviews.service.js";

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
    ScoresRepository,
    ScoresService,
  ],
})
export class ReviewsModule {}
