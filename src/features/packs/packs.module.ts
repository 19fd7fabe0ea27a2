import { Module } from "@nestjs/common";
import { PacksController } from "./packs.controller.js";
import { PacksRepository } from "./packs.repository.js";
import { PacksResolver } from "./packs.resolver.js";
import { PacksService } from "./packs.service.js";

@Module({
  controllers: [PacksController],
  providers: [PacksRepository, PacksResolver, PacksService],
  exports: [PacksService],
})
export class PacksModule {}
