import { Module } from "@nestjs/common";
import { SpecimensController } from "./specimens.controller.js";
import { SpecimensRepository } from "./specimens.repository.js";
import { SpecimensResolver } from "./specimens.resolver.js";
import { SpecimensService } from "./specimens.service.js";

@Module({
  controllers: [SpecimensController],
  providers: [SpecimensRepository, SpecimensResolver, SpecimensService],
  exports: [SpecimensService],
})
export class SpecimensModule {}
