import { Module } from "@nestjs/common";
import { ProtocolsModule } from "../protocols/protocols.module.js";
import { FiguresController } from "./figures.controller.js";
import { FiguresResolver } from "./figures.resolver.js";
import { FiguresService } from "./figures.service.js";

@Module({
  imports: [ProtocolsModule],
  controllers: [FiguresController],
  providers: [FiguresResolver, FiguresService],
})
export class FiguresModule {}
