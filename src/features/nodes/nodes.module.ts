import { Module } from "@nestjs/common";
import { BenchesModule } from "../benches/benches.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { SpecimensModule } from "../specimens/specimens.module.js";
import { NodesRepository } from "./nodes.repository.js";
import { NodesResolver } from "./nodes.resolver.js";
import { NodesService } from "./nodes.service.js";

@Module({
  imports: [BenchesModule, PacksModule, RunsModule, SpecimensModule],
  providers: [NodesRepository, NodesResolver, NodesService],
})
export class NodesModule {}
