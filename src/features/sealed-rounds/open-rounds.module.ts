import { Module } from "@nestjs/common";
import { OpenRoundsRepository } from "./open-rounds.repository.js";
import { OpenRoundsService } from "./open-rounds.service.js";

@Module({ providers: [OpenRoundsRepository, OpenRoundsService], exports: [OpenRoundsService] })
export class OpenRoundsModule {}
