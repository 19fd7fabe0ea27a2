import { Module } from "@nestjs/common";
import { MergedPacksInterceptor } from "./merged-packs.interceptor.js";
import { PacksController } from "./packs.controller.js";
import { PacksRepository } from "./packs.repository.js";
import { PacksResolver } from "./packs.resolver.js";
import { PacksService } from "./packs.service.js";
import { RelatedPacksController } from "./related-packs.controller.js";
import { RelatedPacksResolver } from "./related-packs.resolver.js";
import { RelatedPacksService } from "./related-packs.service.js";
import { SimilarPacksRepository } from "./similar-packs.repository.js";
import { SimilarPacksService } from "./similar-packs.service.js";

export { FollowsMerges } from "./follows-merges.js";

@Module({
  controllers: [PacksController, RelatedPacksController],
  providers: [
    MergedPacksInterceptor,
    PacksRepository,
    PacksResolver,
    PacksService,
    RelatedPacksResolver,
    RelatedPacksService,
    SimilarPacksRepository,
    SimilarPacksService,
  ],
  exports: [MergedPacksInterceptor, PacksService, SimilarPacksService],
})
export class PacksModule {}
