import { Injectable } from "@nestjs/common";
import type { Labelled } from "../../core/plan/label-limit.js";
import { USE_CAUTIONS } from "../../core/use/cautions.js";
import type { PackModel } from "../../core/use/model/pack-model.js";
import type { Whose } from "../../core/use/perturbed-passes.js";
import type { Prediction } from "../../core/use/predict.js";
import { durationOf, type Use } from "../../core/use/use.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { Threads } from "../../platform/threads/threads.js";
import { PacksService } from "../packs/packs.service.js";
import { beyondLabel } from "./beyond-label.js";
import { beyondVerified } from "./beyond-verified.js";
import { PackModelsRepository, type StoredModel } from "./pack-models.repository.js";
import { PackModelsService } from "./pack-models.service.js";
import type { PackModelView, PackValidationView } from "./pack-models.views.js";
import type { NamedPredictions } from "./pictures/prediction-words.js";
import type { PredictTask } from "./predict-thread.js";
import type { PredictionInput, PredictionsView, PredictionView } from "./predictions.views.js";
import { readUse } from "./use-input.js";

/** What is known of one pack that is asked for. */
interface Asked {
  readonly packId: string;
  readonly pack: Labelled;
  readonly name: string;
  readonly cutoffVolts: number;
  readonly use: Use;
  readonly stored: StoredModel;
  readonly whose: Whose;
  readonly verifiedA: number | null;
}

/** Answers what packs do under a use, from their models. */
@Injectable()
export class PredictionsService {
  constructor(
    private readonly packModelsService: PackModelsService,
    private readonly packModelsRepository: PackModelsRepository,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
  ) {}

  /** What changes whenever a pack's model does. @throws Problem not-found */
  async modelRevision(asked: string, caller: Caller | null): Promise<string> {
    const { id } = await this.packsService.get(asked, caller);
    return this.packModelsService.revisionOf(id);
  }

  /** @throws Problem model-not-available when the pack's runs do not make a model: it says which are missing */
  async model(asked: string, caller: Caller | null): Promise<PackModelView & { readonly model: PackModel }> {
    const { id: packId } = await this.packsService.get(asked, caller);
    const { model, missing } = await this.packModelsService.of(packId);
    if (model) return { packId, model };
    throw new Problem(
      "model-not-available",
      "The pack's accepted runs do not make a model yet. `errors` says what is missing.",
      {
        errors: missing.map(({ reason, message }) => ({ pointer: `/runs/${reason}`, message: `needs ${message}` })),
      },
    );
  }

  async validation(asked: string, caller: Caller | null): Promise<PackValidationView> {
    const { id: packId } = await this.packsService.get(asked, caller);
    const { missing, validation } = await this.packModelsService.of(packId);
    return { packId, missing, ...validation };
  }

  /**
   * @param network where it was asked from: whoever has no account shares the threads with others by it
   * @throws Problem invalid-input, not-found
   */
  async predict(input: PredictionInput, caller: Caller | null, network: string): Promise<PredictionsView> {
    const { items } = await this.named(input, caller, network);
    return { items: items.map(({ name: _, cutoffVolts: __, ...view }) => view) };
  }

  /** The same for people: with the packs' names and cutoffs, and the use that was read. */
  async named(input: PredictionInput, caller: Caller | null, network: string): Promise<NamedPredictions> {
    const { specimenId = null, packIds } = input;
    const forChemistry = readUse(input.use, packIds.length);
    const share = caller ? `predictions of ${caller.id}` : `predictions at ${network}`;
    const of = input.of ?? (specimenId === null ? "unknown-specimen" : "specimen");
    if (packIds.length === 0) throw invalidInput([{ pointer: "/packIds", message: "must name at least one pack" }]);
    if ((of === "specimen") !== (specimenId !== null)) {
      throw invalidInput([
        { pointer: "/specimenId", message: "is given for a prediction of a specimen, and for no other" },
      ]);
    }
    const asked: Asked[] = [];
    for (const askedId of packIds) {
      const pack = await this.packsService.get(askedId, caller);
      const { id: packId, chemistry, series, maker, name } = pack;
      const { stored, whose } = await this.modelFor(packId, of, specimenId, caller);
      const verifiedA = await this.packModelsRepository.verifiedContinuousA(packId);
      const use = forChemistry(chemistry);
      const cutoffVolts = series * use.cutoffVoltsPerCell;
      asked.push({ packId, pack, name: `${maker} ${name}`, cutoffVolts, use, stored, whose, verifiedA });
    }
    const items = await Promise.all(
      asked.map(async (one) => {
        const { name, cutoffVolts } = one;
        return { ...(await this.predictOne(one, share)), name, cutoffVolts };
      }),
    );
    return { use: (asked[0] as Asked).use, items };
  }

  private async modelFor(
    packId: string,
    of: Whose["kind"],
    specimenId: string | null,
    caller: Caller | null,
  ): Promise<{ readonly stored: StoredModel; readonly whose: Whose }> {
    if (of !== "specimen" || specimenId === null) {
      return {
        stored: await this.packModelsService.of(packId),
        whose: { kind: of === "mean" ? "mean" : "unknown-specimen" },
      };
    }
    const specimen = await this.packModelsRepository.specimen(idOf(specimenId, "specimen"));
    const isOwn = specimen !== null && specimen.ownerId === caller?.id;
    const stored = await this.packModelsService.of(packId, isOwn ? specimenId : null);
    const scales = stored.model?.specimens.find((one) => one.specimenId === specimenId);
    if (specimen?.packId !== packId || (!isOwn && !scales))
      throw notFound("specimen: none of the pack has that id, with runs");
    if (!scales) {
      const needed = "needs a run of its own under which it was carried from full to the cutoff";
      return {
        stored: { ...stored, model: null, missing: [{ reason: "fit", message: needed }] },
        whose: { kind: "mean" },
      };
    }
    return { stored, whose: { kind: "specimen", capacity: scales.capacity, resistance: scales.resistance } };
  }

  private async predictOne(
    { packId, pack, use, stored, whose, verifiedA }: Asked,
    share: string,
  ): Promise<PredictionView> {
    if (stored.model === null) return unanswered(packId, use, stored, whose, verifiedA);
    const prediction = await this.threads.run<PredictTask, Prediction>(
      { module: "src/features/use/predict-thread.js", name: "predictInThread", share },
      { model: stored.model, use, whose },
    );
    const beyond = [...beyondLabel(prediction.peakA, pack), ...beyondVerified(prediction.peakA, verifiedA)];
    return { packId, verifiedContinuousA: verifiedA, ...prediction, cautions: [...prediction.cautions, ...beyond] };
  }
}

function unanswered(
  packId: string,
  use: Use,
  { missing }: StoredModel,
  whose: Whose,
  verifiedContinuousA: number | null,
): PredictionView {
  return {
    cautions: USE_CAUTIONS,
    packId,
    of: whose.kind,
    answered: false,
    needed: missing,
    grade: null,
    holds: null,
    probability: null,
    marginVoltsPerCell: null,
    marginUncertainty: null,
    limit: null,
    lasts: null,
    shareLeft: null,
    durationS: durationOf(use),
    peakA: null,
    chargeAh: null,
    energyWh: null,
    verifiedContinuousA,
    curve: [],
  };
}
