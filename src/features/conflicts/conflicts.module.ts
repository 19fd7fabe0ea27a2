import { Module } from "@nestjs/common";
import { ConflictsRepository } from "./conflicts.repository.js";
import { ConflictsService } from "./conflicts.service.js";

@Module({ providers: [ConflictsRepository, ConflictsService], exports: [ConflictsService] })
export class ConflictsModule {}
