import { Module } from "@nestjs/common";
import { RankingsModule } from "../rankings/rankings.module.js";
import { RegisterController } from "./register.controller.js";
import { RegisterRepository } from "./register.repository.js";
import { RegisterResolver } from "./register.resolver.js";
import { RegisterService } from "./register.service.js";
import { SuspensionsController } from "./suspensions.controller.js";
import { SuspensionsService } from "./suspensions.service.js";

@Module({
  imports: [RankingsModule],
  controllers: [RegisterController, SuspensionsController],
  providers: [RegisterRepository, RegisterResolver, RegisterService, SuspensionsService],
})
export class RegisterModule {}
