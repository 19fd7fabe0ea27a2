import { createHash } from "node:crypto";
import { Injectable, type OnModuleInit } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import { USE_MODEL_VERSION } from "../../core/use/model/pack-model.js";
import type { PooledPack } from "../../core/use/model/pack-run.js";
import type { PackFit } from "../../core/use/validate.js";
import { notFound } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { Threads } from "../../platform/threads/threads.js";
import { PacksService } from "../packs/packs.service.js";
import { FIT_PACK_MODEL } from "../rankings/standing-jobs.service.js";
import type { FitTask } from "./fit-thread.js";
import { type FittableRun, PackModelsRepository, type StoredModel } from "./pack-models.repository.js";

/** Runs that one model is fitted to at most: the newest of each tester, and in all. */
export const FITTED_RUNS = { perTester: 6, most: 24 } as const;
/** Fits with a tester's own runs that are kept. */
const KEPT_FITS = 50;

/** Keeps the models of packs in step with their accepted runs: fitted when a run is accepted, and looked after at every read. */
@Injectable()
export class PackModelsService implements OnModuleInit {
  /** Fits that are at work or were made with a specimen's own runs, by revision. */
  private readonly fits = new LRUCache<string, Promise<PackFit>>({ max: KEPT_FITS });

  constructor(
    private readonly packModelsRepository: PackModelsRepository,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
    private readonly jobQueue: JobQueue,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(FIT_PACK_MODEL, async (payload) => {
      const { packId } = payload as { packId: string };
      const runs = await this.packModelsRepository.runsOf(packId, null, FITTED_RUNS);
      // One tester's runs make no model: nothing is fitted before somebody asks, unless there was a model.
      const isPooled = new Set(runs.map(({ testerId }) => testerId)).size > 1;
      if (isPooled || (await this.packModelsRepository.find(packId))) await this.of(packId, null, "background");
    });
  }

  /** What changes whenever a pack's model does. */
  async revisionOf(packId: string, specimenId: string | null = null): Promise<string> {
    const pack = await this.pooledPack(packId);
    return revisionOf(pack, await this.packModelsRepository.runsOf(packId, specimenId, FITTED_RUNS));
  }

  /** A pack's model as its accepted runs are now; with those of one specimen that are not public yet when it is given. */
  async of(packId: string, specimenId: string | null = null, lane: "background" | null = null): Promise<StoredModel> {
    const pack = await this.pooledPack(packId);
    const runs = await this.packModelsRepository.runsOf(packId, specimenId, FITTED_RUNS);
    const revision = revisionOf(pack, runs);
    const known = await this.packModelsRepository.find(packId);
    if (known?.revision === revision) return known;
    const key = `${packId} ${revision}`;
    let fit = this.fits.get(key);
    if (!fit) {
      fit = this.fit(pack, runs, specimenId === null ? null : this.of(packId), lane);
      this.fits.set(key, fit);
      fit.catch(() => this.fits.delete(key));
    }
    const found = await fit;
    if (specimenId === null) await this.packModelsRepository.store(packId, pack, revision, found);
    return { revision, ...found };
  }

  /** Has the models of packs fitted by jobs, when nothing else waits. */
  queueFits(packIds: readonly string[]): Promise<void> {
    return this.packModelsRepository.queueFits(FIT_PACK_MODEL, packIds);
  }

  /** The same for all that were fitted by another version of the computation. */
  queueOutdated(): Promise<void> {
    return this.packModelsRepository.queueOutdated(FIT_PACK_MODEL);
  }

  /** Hidden ones too: none of their runs counts. */
  private async pooledPack(packId: string): Promise<PooledPack> {
    const pack = (await this.packsService.byIds([packId])).get(packId);
    if (!pack) throw notFound("pack");
    const { chemistry, series, ratedCapacityMah, massGrams } = pack;
    return { chemistry, series, ratedCapacityMah, massGrams: massGrams ?? null };
  }

  /** @param accepted the model of the pack's accepted runs, where others of a tester's own come to these */
  private async fit(
    pack: PooledPack,
    runs: readonly FittableRun[],
    accepted: Promise<StoredModel> | null,
    lane: "background" | null,
  ): Promise<PackFit> {
    const validation = (await accepted)?.validation;
    const traces = await this.packModelsRepository.tracesOf(runs.map(({ evaluationId }) => evaluationId));
    return this.threads.run<FitTask, PackFit>(
      { module: "src/features/use/fit-thread.js", name: "fitStoredRuns", share: "models", lane },
      {
        pack,
        validation: validation?.summary ? validation : null,
        runs: runs.flatMap(({ evaluationId, ...run }) => {
          const trace = traces.get(evaluationId);
          return trace ? [{ ...run, ...trace }] : [];
        }),
      },
    );
  }
}

const revisionOf = (pack: PooledPack, runs: readonly FittableRun[]): string =>
  createHash("sha256")
    .update(JSON.stringify([USE_MODEL_VERSION, pack, runs]))
    .digest("hex");
