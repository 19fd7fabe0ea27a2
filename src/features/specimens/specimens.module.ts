import { Module } from "@nestjs/common";
import { PackSpecimensRepository } from "./pack-specimens.repository.js";
import { PackSpecimensResolver } from "./pack-specimens.resolver.js";
import { SpecimensController } from "./specimens.controller.js";
import { SpecimensRepository } from "./specimens.repository.js";
import { SpecimensResolver } from "./specimens.resolver.js";
import { SpecimensService } from "./specimens.service.js";

@Module({
  controllers: [SpecimensController],
  providers: [PackSpecimensRepository, PackSpecimensResolver, SpecimensRepository, SpecimensResolver, SpecimensService],
  exports: [SpecimensService],
})
export class SpecimensModule {}
