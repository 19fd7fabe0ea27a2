import { Injectable } from "@nestjs/common";
import type { PackFacts } from "../../core/model.js";
import { PlanRefused, type PlanRequest, planOf } from "../../core/plan/plan.js";
import type { Plan } from "../../core/plan/planned-test.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { LaddersService } from "../ladders/ladders.service.js";
import { PacksService } from "../packs/packs.service.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { ProtocolsService } from "../protocols/protocols.service.js";
import { PlansRepository } from "./plans.repository.js";
import type { PlanArgs, PlanView } from "./plans.views.js";

/** Plans tests: what to set, what to expect, what to look at. */
@Injectable()
export class PlansService {
  constructor(
    private readonly plansRepository: PlansRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly protocolsService: ProtocolsService,
    private readonly packsService: PacksService,
    private readonly laddersService: LaddersService,
  ) {}

  /** @throws Problem invalid-input for a load beyond what label or pack allow, or a pack that is not said in one way */
  async plan(args: PlanArgs, caller: Caller | null): Promise<PlanView> {
    const protocol = await this.protocolFor(args.protocol);
    const { packId, ...request } = await this.planned(args, protocol, caller);
    const { key, version } = protocol;
    const { cautions, ...planned } = planWithin(protocol, request);
    return { cautions, protocol: { key, version }, packId, ...planned } as PlanView;
  }

  /** The version under which a run that is made now will be ranked. */
  private async protocolFor(key: string): Promise<ProtocolDocument> {
    const active = await this.activeVersionService.find(key);
    if (active) return active.protocol;
    return (await this.protocolsService.named(key)).document as ProtocolDocument;
  }

  private async planned(
    args: PlanArgs,
    protocol: ProtocolDocument,
    caller: Caller | null,
  ): Promise<PlanRequest & { readonly packId: string | null }> {
    const loadA = args.load ?? null;
    const ladder = { steps: [], estimateA: null };
    if (waysOf(args) !== 1) {
      const message = "must be given, or specimenId, or chemistry, series and ratedCapacityMah: one of the three";
      throw invalidInput([{ pointer: "/packId", message }]);
    }
    if (args.specimenId) return { loadA, ...(await this.ladderOf(args.specimenId, protocol, caller)) };
    if (args.packId) {
      const pack = await this.packsService.get(args.packId);
      return { pack, ohm: await this.resistanceOf(pack.id), loadA, ladder, packId: pack.id };
    }
    return { pack: describedPack(args), ohm: null, loadA, ladder, packId: null };
  }

  private async ladderOf(specimenId: string, protocol: ProtocolDocument, caller: Caller | null) {
    if (protocol.load.kind !== "set-current") {
      throw invalidInput([{ pointer: "/specimenId", message: "is read by ladders alone; name the pack" }]);
    }
    const { pack, steps, estimate } = await this.laddersService.get(specimenId, {}, caller);
    return {
      pack,
      packId: pack.id,
      ohm: await this.resistanceOf(pack.id),
      ladder: {
        steps: steps.map(({ setpointA, currentA, passes }) => ({ currentA: setpointA ?? currentA, passes })),
        estimateA: estimate?.value ?? null,
      },
    };
  }

  private async resistanceOf(packId: string): Promise<number | null> {
    const milliohm = await this.plansRepository.resistanceOf(packId);
    return milliohm === null ? null : milliohm / 1_000;
  }
}

/** In how many ways a pack is said; half a description is none. */
function waysOf({ packId, specimenId, chemistry, series, ratedCapacityMah, labelContinuousC, massGrams }: PlanArgs) {
  const described = [chemistry, series, ratedCapacityMah];
  const any = [...described, labelContinuousC, massGrams].some((one) => one != null);
  if (any && described.some((one) => one == null)) return 0;
  return [packId, specimenId, any || null].filter((one) => one != null).length;
}

function describedPack({ chemistry, series, ratedCapacityMah, labelContinuousC, massGrams }: PlanArgs): PackFacts {
  return {
    chemistry: chemistry as PackFacts["chemistry"],
    series: series as number,
    parallel: 1,
    ratedCapacityMah: ratedCapacityMah as number,
    labelContinuousC: labelContinuousC ?? null,
    labelBurstC: null,
    massGrams: massGrams ?? null,
  };
}

function planWithin(protocol: ProtocolDocument, request: PlanRequest): Plan {
  try {
    return planOf(protocol, request);
  } catch (error) {
    if (!(error instanceof PlanRefused)) throw error;
    throw invalidInput([{ pointer: "/load", message: error.message }]);
  }
}
