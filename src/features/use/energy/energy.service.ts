import { Injectable } from "@nestjs/common";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import { type EnergyAtPowers, evenPowers, powerReach, roundPowers } from "../../../core/use/energy-power.js";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { requireAll } from "../../../platform/problems/problem.js";
import { Threads } from "../../../platform/threads/threads.js";
import { PacksService } from "../../packs/packs.service.js";
import type { PackView } from "../../packs/packs.views.js";
import { PackModelsRepository } from "../pack-models.repository.js";
import { PackModelsService } from "../pack-models.service.js";
import { PredictionsService } from "../predictions.service.js";
import { steadyConditions } from "../use-input.js";
import { beyondVerifiedPower } from "./beyond-verified-power.js";
import type { EnergyAgainstPowerView, EnergyArgs, EnergyComparisonView, EnergyOfPackView } from "./energy.views.js";
import { energyPacksAsked } from "./energy-packs.js";
import type { EnergyTask } from "./energy-thread.js";

/** Powers of one pack's chart. */
const POWERS = 16;

/** Energy and time of packs against steady power. */
@Injectable()
export class EnergyService {
  constructor(
    private readonly predictionsService: PredictionsService,
    private readonly packModelsService: PackModelsService,
    private readonly packModelsRepository: PackModelsRepository,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
  ) {}

  /** @throws Problem not-found, or model-not-available when the pack's runs do not make a model */
  async against(asked: string, { of, startC }: EnergyArgs, caller: Caller | null): Promise<EnergyAgainstPowerView> {
    const pack = await this.packsService.get(asked, caller);
    const { model } = await this.predictionsService.model(pack.id, caller);
    const conditions = steadyConditions(pack.chemistry, startC ?? null);
    const whose = of ?? "unknown-specimen";
    const powers = evenPowers(powerReach(model, conditions), POWERS);
    const told = await this.compute({ model, whose: { kind: whose }, conditions, powers });
    const { cutoffVoltsPerCell, temperatureLimitC } = conditions;
    const verifiedContinuousA = await this.packModelsRepository.verifiedContinuousA(pack.id);
    return {
      cautions: [...USE_CAUTIONS, ...beyondVerifiedPower([{ pack, cutoffVoltsPerCell, verifiedContinuousA, ...told }])],
      packId: pack.id,
      of: whose,
      grade: model.grade,
      startC: conditions.startC,
      cutoffVoltsPerCell,
      temperatureLimitC,
      verifiedContinuousA,
      ...told,
    };
  }

  /**
   * Several packs at the same round powers. One that was merged stands as the one that it leads to; hidden ones are compared with none.
   *
   * @throws Problem invalid-input, not-found
   */
  async compare(asked: readonly string[], { of, startC }: EnergyArgs): Promise<EnergyComparisonView> {
    const packs = await this.packsAsked(asked);
    const whose = of ?? "unknown-specimen";
    const items: EnergyOfPackView[] = [];
    for (const pack of packs) items.push(await this.ofPack(pack, whose, startC ?? null));
    const [{ chemistry }] = packs as [PackView, ...PackView[]];
    const conditions = steadyConditions(chemistry, startC ?? null);
    return {
      cautions: [...USE_CAUTIONS, ...beyondVerifiedPower(items)],
      of: whose,
      startC: conditions.startC,
      temperatureLimitC: conditions.temperatureLimitC,
      items,
    };
  }

  /** What changes whenever one pack's energy against power does. */
  async revision(asked: string, caller: Caller | null): Promise<object> {
    const pack = await this.packsService.get(asked, caller);
    return this.revisionOf(pack);
  }

  /** The same of several packs. */
  async comparisonRevision(asked: readonly string[]): Promise<object[]> {
    const revisions: object[] = [];
    for (const pack of await this.packsAsked(asked)) revisions.push(await this.revisionOf(pack));
    return revisions;
  }

  /** What people call a pack. */
  async nameOf(packId: string, caller: Caller | null): Promise<string> {
    const { maker, name } = await this.packsService.get(packId, caller);
    return `${maker} ${name}`;
  }

  private async packsAsked(asked: readonly string[]): Promise<PackView[]> {
    const named = energyPacksAsked(asked);
    const current = await this.packsService.current(named);
    requireAll("pack", "/packs", named, (id) => current.get(id));
    const ids = [...new Set(named.map((id) => current.get(id) ?? id))];
    if (ids.length < 2) {
      throw invalidInput([{ pointer: "/packs", message: `all are ${ids[0]}, which they were merged into` }]);
    }
    const packs = await this.packsService.byIds(ids);
    return ids.flatMap((id) => packs.get(id) ?? []);
  }

  private async revisionOf(pack: PackView): Promise<object> {
    const model = await this.packModelsService.revisionOf(pack.id);
    return { pack, model, verifiedA: await this.packModelsRepository.verifiedContinuousA(pack.id) };
  }

  private async ofPack(pack: PackView, whose: EnergyComparisonView["of"], startC: number | null) {
    const { model, missing } = await this.packModelsService.of(pack.id);
    const conditions = steadyConditions(pack.chemistry, startC);
    const { cutoffVoltsPerCell } = conditions;
    const verifiedContinuousA = await this.packModelsRepository.verifiedContinuousA(pack.id);
    const item = { pack, grade: model?.grade ?? null, cutoffVoltsPerCell, verifiedContinuousA };
    if (model === null) return { ...item, points: [], needed: missing };
    const powers = roundPowers(powerReach(model, conditions));
    return { ...item, ...(await this.compute({ model, whose: { kind: whose }, conditions, powers })) };
  }

  private compute(task: EnergyTask): Promise<EnergyAtPowers> {
    return this.threads.run<EnergyTask, EnergyAtPowers>(
      { module: "src/features/use/energy/energy-thread.js", name: "energyInThread" },
      task,
    );
  }
}
