import { Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import { USE_MODEL_VERSION } from "../../../core/use/model/pack-model.js";
import { PackModelsService } from "../pack-models.service.js";
import { ClassModelsRepository, type ClassPack, type PackClass } from "./class-models.repository.js";
import type { SharedModel } from "./judge-thread.js";

/** Text of models that is kept for the threads, bytes: some 5,000 packs. */
const KEPT_BYTES = 64 * 1024 * 1024;
/** Models whose text is read from the database at once. */
const MODELS_AT_ONCE = 500;

/** The packs of a class and their models. */
export interface ClassModels {
  readonly packs: readonly ClassPack[];
  /** Of those that have one. */
  readonly models: readonly SharedModel[];
}

/** A model's text, or null where it was fitted by another version of the computation, until it is fitted anew. */
interface Kept {
  readonly revision: string;
  readonly model: SharedModel | null;
}

/** Holds the models of classes ready for the threads, by revision: a pack's is read again when it was fitted anew, and no other. */
@Injectable()
export class ClassModelsService {
  private readonly kept = new LRUCache<string, Kept>({
    maxSize: KEPT_BYTES,
    sizeCalculation: ({ model }) => 200 + (model?.json.byteLength ?? 0),
  });

  constructor(
    private readonly classModelsRepository: ClassModelsRepository,
    private readonly packModelsService: PackModelsService,
  ) {}

  /** Packs of a class as lists show them, up to a mass, `most` at most, with their models as they were fitted last. */
  async of(packClass: PackClass, maxMassGrams: number | null, most: number): Promise<ClassModels> {
    const packs = await this.classModelsRepository.packs(packClass, maxMassGrams, most);
    const found = new Map<string, SharedModel | null>();
    const missing: string[] = [];
    for (const { packId, revision } of packs) {
      if (revision === null) continue;
      const kept = this.kept.get(packId);
      if (kept?.revision === revision) found.set(packId, kept.model);
      else missing.push(packId);
    }
    for (let i = 0; i < missing.length; i += MODELS_AT_ONCE) {
      for (const [packId, model] of await this.read(missing.slice(i, i + MODELS_AT_ONCE))) found.set(packId, model);
    }
    return { packs, models: packs.flatMap(({ packId }) => found.get(packId) ?? []) };
  }

  private async read(packIds: readonly string[]): Promise<[packId: string, SharedModel | null][]> {
    const rows = await this.classModelsRepository.models(packIds);
    const outdated = rows.filter(({ version }) => version !== USE_MODEL_VERSION);
    await this.packModelsService.queueFits(outdated.map(({ packId }) => packId));
    return rows.map(({ packId, revision, json, version }) => {
      const model = version === USE_MODEL_VERSION ? { packId, revision, json: shared(json) } : null;
      this.kept.set(packId, { revision, model });
      return [packId, model];
    });
  }
}

function shared(text: string): SharedArrayBuffer {
  const json = new SharedArrayBuffer(Buffer.byteLength(text));
  Buffer.from(json).write(text);
  return json;
}
