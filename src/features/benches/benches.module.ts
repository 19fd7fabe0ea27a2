import { Module } from "@nestjs/common";
import { BenchesController } from "./benches.controller.js";
import { BenchesRepository } from "./benches.repository.js";
import { BenchesResolver } from "./benches.resolver.js";
import { BenchesService } from "./benches.service.js";

@Module({
  controllers: [BenchesController],
  providers: [BenchesRepository, BenchesResolver, BenchesService],
  exports: [BenchesService],
})
export class BenchesModule {}
