import { Args, ID, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { PackModelView, PackValidationView } from "./pack-models.views.js";
import { PredictionsService } from "./predictions.service.js";
import { PredictionInput, PredictionsView } from "./predictions.views.js";

const packIdArg = () => Args("packId", { type: () => ID, description: "Which pack, by its id" });

@Resolver(() => PredictionsView)
export class PredictionsResolver {
  constructor(private readonly predictionsService: PredictionsService) {}

  @Query(() => PredictionsView, {
    nullable: true,
    description:
      "What packs do under a use: voltage, temperature and charge along it, whether they hold it, and how sure that is",
  })
  predictions(
    @Args("input", { description: "The packs, the use, and whose pack it is" }) input: PredictionInput,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
  ): Promise<PredictionsView> {
    return this.predictionsService.predict(input, caller, network);
  }

  @Query(() => PackModelView, {
    nullable: true,
    description: "What all accepted runs of a pack together say of it, to compute predictions from",
  })
  packModel(@packIdArg() packId: string, @CurrentAccount() caller: Caller | null): Promise<PackModelView> {
    return this.predictionsService.model(packId, caller);
  }

  @Query(() => PackValidationView, {
    nullable: true,
    description: "Each run of a pack, predicted from its other runs, and how far off that is",
  })
  packValidation(@packIdArg() packId: string, @CurrentAccount() caller: Caller | null): Promise<PackValidationView> {
    return this.predictionsService.validation(packId, caller);
  }
}
