import { Args, Extensions, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { ComparisonArgs } from "./comparisons.args.js";
import { ComparisonsService } from "./comparisons.service.js";
import { ComparisonView } from "./comparisons.views.js";
import { compareListed } from "./listed-readings.js";

@Resolver(() => ComparisonView)
export class ComparisonsResolver {
  constructor(private readonly comparisonsService: ComparisonsService) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => ComparisonView, {
    nullable: true,
    description: "Packs, runs, specimens or ladders side by side, in percent of a baseline",
  })
  comparison(@Args() args: ComparisonArgs, @CurrentAccount() caller: Caller | null): Promise<ComparisonView> {
    return compareListed(args, (compared) => this.comparisonsService.compare(compared, caller));
  }
}
