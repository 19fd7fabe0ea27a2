import { Module } from "@nestjs/common";
import { ConflictsModule } from "../conflicts/conflicts.module.js";
import { NoticesModule } from "../notices/notices.module.js";
import { PacksModule } from "../packs/packs.module.js";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RecordsModule } from "../records/records.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { OpenRoundsModule } from "../sealed-rounds/open-rounds.module.js";
import { CorrectionsController } from "./corrections.controller.js";
import { CorrectionsResolver } from "./corrections.resolver.js";
import { CorrectionsService } from "./corrections.service.js";
import { PackMassService } from "./pack-mass.service.js";
import { RegisterController } from "./register.controller.js";
import { RegisterRepository } from "./register.repository.js";
import { RegisterResolver } from "./register.resolver.js";
import { RegisterService } from "./register.service.js";
import { SuspensionsController } from "./suspensions.controller.js";
import { SuspensionsService } from "./suspensions.service.js";

@Module({
  imports: [ConflictsModule, NoticesModule, OpenRoundsModule, PacksModule, RankingsModule, RecordsModule, RunsModule],
  controllers: [CorrectionsController, RegisterController, SuspensionsController],
  providers: [
    CorrectionsResolver,
    CorrectionsService,
    PackMassService,
    RegisterRepository,
    RegisterResolver,
    RegisterService,
    SuspensionsService,
  ],
})
export class RegisterModule {}
