import { Module } from "@nestjs/common";
import { PacksController } from "./packs.controller.js";
import { PacksRepository } from "./packs.repository.js";
import { PacksResolver } from "./packs.resolver.js";
import { PacksService } from "./packs.service.js";
import { SimilarPacksRepository } from "./similar-packs.repository.js";
import { SimilarPacksService } from "./similar-packs.service.js";

@Module({
  controllers: [PacksController],
  providers: [PacksRepository, PacksResolver, PacksService, SimilarPacksRepository, SimilarPacksService],
  exports: [PacksService],
})
export class PacksModule {}
