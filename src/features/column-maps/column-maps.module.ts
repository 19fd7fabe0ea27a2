import { Module } from "@nestjs/common";
import { ColumnMapsController } from "./column-maps.controller.js";
import { ColumnMapsRepository } from "./column-maps.repository.js";
import { ColumnMapsResolver } from "./column-maps.resolver.js";
import { ColumnMapsService } from "./column-maps.service.js";

@Module({
  controllers: [ColumnMapsController],
  providers: [ColumnMapsRepository, ColumnMapsResolver, ColumnMapsService],
  exports: [ColumnMapsService],
})
export class ColumnMapsModule {}
