import { Args, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { EnergyService } from "./energy.service.js";
import {
  EnergyAgainstPowerView,
  EnergyComparisonArgs,
  EnergyComparisonView,
  EnergyOfPackArgs,
} from "./energy.views.js";

@Resolver(() => EnergyAgainstPowerView)
export class EnergyResolver {
  constructor(private readonly energyService: EnergyService) {}

  @Query(() => EnergyAgainstPowerView, {
    nullable: true,
    description: "Energy and time that a pack gives at steady powers, from full to the cutoff, with uncertainties",
  })
  energyAgainstPower(
    @Args() { packId, ...args }: EnergyOfPackArgs,
    @CurrentAccount() caller: Caller | null,
  ): Promise<EnergyAgainstPowerView> {
    return this.energyService.against(packId, args, caller);
  }

  @Query(() => EnergyComparisonView, {
    nullable: true,
    description: "Energy and time that several packs give at the same steady powers, with uncertainties",
  })
  energyComparison(@Args() { packs, ...args }: EnergyComparisonArgs): Promise<EnergyComparisonView> {
    return this.energyService.compare(packs, args);
  }
}
