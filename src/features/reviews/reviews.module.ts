import { Module } from "@nestjs/common";
import { CopiesModule } from "../copies/copies.module.js";
import { RunsModule } from "../runs/runs.module.js";
import { ReviewsController } from "./reviews.controller.js";
import { ReviewsRepository } from "./reviews.repository.js";
import { ReviewsResolver } from "./reviews.resolver.js";
import { ReviewsService } from "./reviews.service.js";

@Module({
  imports: [CopiesModule, RunsModule],
  controllers: [ReviewsController],
  providers: [ReviewsRepository, ReviewsResolver, ReviewsService],
})
export class ReviewsModule {}
