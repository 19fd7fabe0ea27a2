import { Args, Query, Resolver } from "@nestjs/graphql";
import { EnergyService } from "./energy.service.js";
import { EnergyAgainstPowerView, EnergyOfPackArgs } from "./energy.views.js";

@Resolver(() => EnergyAgainstPowerView)
export class EnergyResolver {
  constructor(private readonly energyService: EnergyService) {}

  @Query(() => EnergyAgainstPowerView, {
    nullable: true,
    description: "Energy and time that a pack gives at steady powers, from full to the cutoff, with uncertainties",
  })
  energyAgainstPower(@Args() { packId, ...args }: EnergyOfPackArgs): Promise<EnergyAgainstPowerView> {
    return this.energyService.against(packId, args);
  }
}
