import { Module } from "@nestjs/common";
import { ConflictsModule } from "../conflicts/conflicts.module.js";
import { LadderStepsModule } from "../ladders/ladder-steps.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { ClassCounts } from "./classes/class-counts.js";
import { ClassesController } from "./classes/classes.controller.js";
import { ClassesRepository } from "./classes/classes.repository.js";
import { PackCyclesController } from "./cycles/pack-cycles.controller.js";
import { PackCyclesRepository } from "./cycles/pack-cycles.repository.js";
import { PackCyclesService } from "./cycles/pack-cycles.service.js";
import { StandingReviewsController } from "./decisions/standing-reviews.controller.js";
import { StandingReviewsRepository } from "./decisions/standing-reviews.repository.js";
import { StandingReviewsResolver } from "./decisions/standing-reviews.resolver.js";
import { StandingReviewsService } from "./decisions/standing-reviews.service.js";
import { RankingOrdersRepository } from "./orders/ranking-orders.repository.js";
import { RankingOrdersService } from "./orders/ranking-orders.service.js";
import { RankingPagesService } from "./orders/ranking-pages.service.js";
import { RankingRowsRepository } from "./orders/ranking-rows.repository.js";
import { PackPlacesController } from "./pack-places.controller.js";
import { PackStandingsResolver } from "./pack-standings.resolver.js";
import { PlacesRepository } from "./places.repository.js";
import { StandingPolicyController } from "./policy/standing-policy.controller.js";
import { StandingPolicyRepository } from "./policy/standing-policy.repository.js";
import { StandingPolicyResolver } from "./policy/standing-policy.resolver.js";
import { StandingPolicyService } from "./policy/standing-policy.service.js";
import { RankingEffectsRepository } from "./ranking-effects.repository.js";
import { RankingEffectsService } from "./ranking-effects.service.js";
import { RankingsController } from "./rankings.controller.js";
import { RankingsResolver } from "./rankings.resolver.js";
import { RankingsService } from "./rankings.service.js";
import { BeforeCorrectionRepository } from "./results/before-correction.repository.js";
import { ConfirmedBeforeMergeRepository } from "./results/confirmed-before-merge.repository.js";
import { CorrectedPacksService } from "./results/corrected-packs.service.js";
import { ResultsRepository } from "./results/results.repository.js";
import { StandingJobsService } from "./standing-jobs.service.js";
import { StandingsRepository } from "./standings.repository.js";
import { StandingsService } from "./standings.service.js";

@Module({
  imports: [ConflictsModule, LadderStepsModule, NoticesModule, PacksModule, ProtocolsModule],
  controllers: [
    ClassesController,
    PackCyclesController,
    PackPlacesController,
    RankingsController,
    StandingPolicyController,
    StandingReviewsController,
  ],
  providers: [
    BeforeCorrectionRepository,
    ClassCounts,
    ClassesRepository,
    ConfirmedBeforeMergeRepository,
    CorrectedPacksService,
    PackCyclesRepository,
    PackCyclesService,
    PackStandingsResolver,
    PlacesRepository,
    RankingsResolver,
    RankingsService,
    RankingEffectsRepository,
    RankingEffectsService,
    RankingOrdersRepository,
    RankingOrdersService,
    RankingPagesService,
    RankingRowsRepository,
    ResultsRepository,
    StandingPolicyRepository,
    StandingPolicyResolver,
    StandingPolicyService,
    StandingReviewsRepository,
    StandingReviewsResolver,
    StandingReviewsService,
    StandingsRepository,
    StandingJobsService,
    StandingsService,
  ],
  exports: [RankingEffectsService, StandingJobsService, StandingsService],
})
export class RankingsModule {}
