import { Injectable } from "@nestjs/common";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import type { EnergyAtPower } from "../../../core/use/energy-power.js";
import { Threads } from "../../../platform/threads/threads.js";
import { PacksService } from "../../packs/packs.service.js";
import { PredictionsService } from "../predictions.service.js";
import { steadyConditions } from "../use-input.js";
import type { EnergyAgainstPowerView, EnergyArgs } from "./energy.views.js";
import type { EnergyTask } from "./energy-thread.js";

/** Powers of a chart. */
const POWERS = 16;

/** Energy and time of packs against steady power. */
@Injectable()
export class EnergyService {
  constructor(
    private readonly predictionsService: PredictionsService,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
  ) {}

  /** @throws Problem not-found, or model-not-available when the pack's runs do not make a model */
  async against(asked: string, { of, startC }: EnergyArgs): Promise<EnergyAgainstPowerView> {
    const { id: packId, chemistry } = await this.packsService.get(asked);
    const { model } = await this.predictionsService.model(packId);
    const conditions = steadyConditions(chemistry, startC ?? null);
    const whose = of ?? "unknown-specimen";
    const points = await this.threads.run<EnergyTask, EnergyAtPower[]>(
      { module: "src/features/use/energy/energy-thread.js", name: "energyInThread" },
      { model, whose: { kind: whose }, conditions, count: POWERS },
    );
    const { cutoffVoltsPerCell, temperatureLimitC } = conditions;
    return {
      cautions: USE_CAUTIONS,
      packId,
      of: whose,
      grade: model.grade,
      startC: conditions.startC,
      cutoffVoltsPerCell,
      temperatureLimitC,
      points,
    };
  }

  /** What people call a pack. */
  async nameOf(packId: string): Promise<string> {
    const { maker, name } = await this.packsService.get(packId);
    return `${maker} ${name}`;
  }
}
