import { Query, Resolver } from "@nestjs/graphql";
import { RecordValidationService } from "./record-validation.service.js";
import { RecordValidationView } from "./record-validation.views.js";

@Resolver(() => RecordValidationView)
export class RecordValidationResolver {
  constructor(private readonly recordValidationService: RecordValidationService) {}

  @Query(() => RecordValidationView, {
    nullable: true,
    description: "How the runs of all packs agree with what their packs' other runs predict of them, by class",
  })
  async recordValidation(): Promise<RecordValidationView> {
    return this.recordValidationService.viewOf(await this.recordValidationService.classes());
  }
}
